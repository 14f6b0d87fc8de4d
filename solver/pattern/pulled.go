package pattern

import (
	"fmt"
	"math"
	"strconv"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// A strip pulled by hand has coordinates like any strip: y along the pull from
// what it moves, seen from the front. Two guides hold it to its host. Between
// them it has a block that is wider: at rest the block's near shoulder stands
// against the first guide, after the stroke its far shoulder stands against the
// second, so the two stops are as far apart as the stroke, whatever the slots
// allow. Where there is no room for that, one guide stands between two blocks.

const (
	// guideBand and guideBlock are the widths along the pull of a guide and of
	// the block, mm; the shorter ones are for strips without room for more.
	// Common practice: bands of 5 to 10.
	guideBand, shortBand   = 8.0, 5.0
	guideBlock, shortBlock = 6.0, 4.0
	// guideGlue is the glued length of a guide beside the strip, mm. Common
	// practice: 8 to 15 of a tab.
	guideGlue = 8.0
	// shoulder is how far the block is wider than the strip, each side, mm.
	// From memory.
	shoulder = 3.0
	// gripLong and gripWide are what a finger and a thumb hold, mm, gripRound
	// the radius of its corners. From memory.
	gripLong, gripWide, gripRound = 15.0, 15.0, 3.0
	// gripGap is kept between the second guide and the grip at rest, mm: a grip
	// pushed against its guide would stop the strip before its block does.
	gripGap = 1.0
	// gripOut is how far a grip must stand out to be held without a cut in the
	// host, and gripShown how much of it a notch lays bare, mm. From memory.
	gripOut, gripShown = 8.0, 10.0
	// notchReach is how far inside the edge a notch still reaches a grip, mm,
	// and leastNotch the least radius a thumb goes into. From memory.
	notchReach, leastNotch = 10.0, 8.0
	// thumbWide is the width of a slot for a thumb, mm. From memory.
	thumbWide = 10.0
)

// handStrip is the make of a strip pulled by hand, in its own coordinates.
type handStrip struct {
	width, length, stroke float64
	tail                  float64 // end behind y = 0
	padTo, padHalf        float64 // wider end from -tail to padTo; padHalf 0: none
	first, last           float64 // where the first guide may start, and the last end on its host
	clear                 float64 // where the first block may start
	behind                bool    // it lies behind its host

	band    float64      // width of the guides along the strip
	guides  []float64    // start of each; none: there is no room for stops
	blocks  [][2]float64 // from, to
	missing float64      // room lacking
}

// fitStops places guides and blocks from the end: the last guide just short of
// the grip, or of the edge of the host where the strip goes on past that.
func (s *handStrip) fitStops() {
	sizes := [2][2]float64{{guideBand, guideBlock}, {shortBand, shortBlock}}
	for _, size := range sizes {
		band, block := size[0], size[1]
		second := min(s.length-gripGap, s.last) - band
		first := second - s.stroke - block - band
		if first >= s.first {
			s.band, s.guides = band, []float64{first, second}
			s.blocks = [][2]float64{{first + band, first + band + block}}
			return
		}
	}
	for _, size := range sizes {
		band, block := size[0], size[1]
		guide := min(s.length-gripGap-block, s.last) - band
		s.missing = max(s.first, s.clear+block+s.stroke) - guide
		if s.missing <= 0 {
			s.band, s.guides, s.missing = band, []float64{guide}, 0
			s.blocks = [][2]float64{{guide - s.stroke - block, guide - s.stroke}, {guide + band, guide + band + block}}
			return
		}
	}
}

func (s *handStrip) gripHalf() float64 { return max(s.width, gripWide) / 2 }

// outline is the strip with its pad, block and grip, anticlockwise.
func (s *handStrip) outline() geom.Path {
	half, grip, end := s.width/2, s.gripHalf(), s.length+gripLong
	var side []geom.Vec2 // up the right side
	step := func(wide, from, to float64) {
		side = append(side, geom.Vec2{X: half, Y: from}, geom.Vec2{X: wide, Y: from}, geom.Vec2{X: wide, Y: to}, geom.Vec2{X: half, Y: to})
	}
	if s.padHalf > half {
		step(s.padHalf, -s.tail, s.padTo)
		side = side[1:]
	} else {
		side = append(side, geom.Vec2{X: half, Y: -s.tail})
	}
	for _, b := range s.blocks {
		step(half+shoulder, b[0], b[1])
	}
	if grip > half {
		if s.padHalf > half && s.padTo == s.length {
			side = side[:len(side)-1] // pad and grip meet
		} else {
			side = append(side, geom.Vec2{X: half, Y: s.length})
		}
		side = append(side, geom.Vec2{X: grip, Y: s.length})
	}
	side = append(side, geom.Vec2{X: grip, Y: end - gripRound})

	out := geom.Contour{Start: side[0], Closed: true}
	line := func(p geom.Vec2) { out.Segments = append(out.Segments, geom.Segment{Kind: geom.Line, To: p}) }
	corner := func(x, y float64) {
		out.Segments = append(out.Segments, geom.Segment{Kind: geom.Arc, RX: gripRound, RY: gripRound, Sweep: true, To: geom.Vec2{X: x, Y: y}})
	}
	for _, p := range side[1:] {
		line(p)
	}
	corner(grip-gripRound, end)
	line(geom.Vec2{X: gripRound - grip, Y: end})
	corner(-grip, end-gripRound)
	for i := len(side) - 2; i >= 0; i-- {
		line(geom.Vec2{X: -side[i].X, Y: side[i].Y})
	}
	return geom.Path{out}
}

// handFrame is the frame of a mechanism worked by hand: x along the pull from
// its place, seen from the front of its host.
type handFrame struct {
	mechanism, host int
	id              string
	place           geom.Placement // to the host panel
	mirror          bool           // seen from the front, y runs to the right of the pull
}

func (m *maker) handFrame(mechanism int, place design.Place) handFrame {
	entry := &m.a.Design.Mechanisms[mechanism]
	host := m.panelByID[entry.On.Panel]
	return handFrame{mechanism, host, entry.ID, place.Placement(), m.a.Panels[host].Printed < 0}
}

// loose takes the frame to the coordinates of a part of its own, with y along
// the pull from a point of the frame.
func (f *handFrame) loose(from geom.Vec2) geom.Placement {
	return geom.Move(from.Mul(-1)).Then(geom.Placement{S: 1, Mirror: f.mirror})
}

// inHost takes the frame to the host's part.
func (m *maker) inHost(f *handFrame) geom.Placement { return f.place.Then(m.place[f.host]) }

// onReverse tells whether a face of a panel is the reverse of what its part
// shows: for the back of the panel's printed side, or its front.
func (m *maker) onReverse(panel int, back bool) bool {
	return back != (m.visible(panel) != m.a.Panels[panel].Printed)
}

// addHandStrip makes a strip pulled by hand and its guides.
func (m *maker) addHandStrip(f *handFrame, strip *kinematics.Strip, s *handStrip) {
	m.addStrip(strip, s.outline(), s.length/2)
	if len(s.guides) == 0 {
		if s.last < s.length-gripGap {
			m.reportLength(CodeNoGuide, f.mechanism, "place", s.missing,
				fmt.Sprintf("the guides and stops of %s need %s more between it and the edge of %s, and are left out", Spaced(f.id), m.length(s.missing), m.a.Panels[f.host].ID))
			return
		}
		m.reportLength(CodeStripShort, f.mechanism, "strip/length", s.missing,
			fmt.Sprintf("the strip of %s is %s too short for its guides and stops, which are left out", Spaced(f.id), m.length(s.missing)))
		return
	}
	half := s.guideHalf(&m.o)
	for i := range s.guides {
		id := guideID(f, i)
		m.Parts = append(m.Parts, m.loosePart(id, f.mechanism, geom.Rect(-half, 0, half, s.band), geom.Vec2{X: 1}))
	}
}

func guideID(f *handFrame, i int) string { return f.id + ".guide_" + strconv.Itoa(i+1) }

// guideRoom is half the room for the strip, guideHalf half the length of a
// guide. A guide leaves the strip as much room as a slot leaves its tab.
func (s *handStrip) guideRoom(o *Options) float64 { return (s.width + o.SlotLengthClearance) / 2 }
func (s *handStrip) guideHalf(o *Options) float64 { return s.guideRoom(o) + guideGlue }

// guideEnds are the glued ends of a guide that starts at y.
func (s *handStrip) guideEnds(y float64, o *Options) geom.Path {
	inner, outer := s.guideRoom(o), s.guideHalf(o)
	return append(geom.Rect(inner, y, outer, y+s.band), geom.Rect(-outer, y, -inner, y+s.band)...)
}

// addGuideJoints glues the guides beside the strip, which starts at a point of
// the frame.
func (m *maker) addGuideJoints(f *handFrame, s *handStrip, from geom.Vec2) {
	toPanel := f.loose(from).Inverse().Then(f.place)
	hostPart := m.partOf[f.host]
	for i := range s.guides {
		id := guideID(f, i)
		part := m.partIndex(id)
		ends := s.guideEnds(s.guides[i], &m.o).Transform(toPanel)
		past := 0.0
		for _, ring := range ends.Flatten(flatTolerance) {
			for _, p := range ring {
				if !geom.PolygonContains(m.a.Panels[f.host].Outline, p) {
					past = max(past, geom.PolygonDistance(m.a.Panels[f.host].Outline, p))
				}
			}
		}
		if past > weldTolerance {
			m.reportLength(CodeNoGuide, f.mechanism, "place", past,
				fmt.Sprintf("guide %d of %s reaches %s past the edge of %s", i+1, Spaced(f.id), m.length(past), m.a.Panels[f.host].ID))
			continue
		}
		joint := m.newJoint(f.mechanism, id, part, hostPart)
		joint.Length, joint.Depth, joint.Wanted = s.band, guideGlue, guideGlue
		// Of a strip behind its host, a guide touches the host's reverse with its
		// front; of one in front, the host's front with its back.
		m.addGlue(part, GlueArea{
			Label: joint.Label, Joint: id, Part: joint.Host, Tab: true, OnBack: !s.behind, Path: s.guideEnds(0, &m.o),
		}, geom.Vec2{X: 1})
		m.addGlue(hostPart, GlueArea{
			Label: joint.Label, Joint: id, Part: joint.Part, OnBack: m.onReverse(f.host, s.behind),
			Path: eachAnticlockwise(ends.Transform(m.place[f.host])),
		}, m.place[f.host].Dir(toPanel.Dir(geom.Vec2{X: 1})))
	}
}

// guideLimit is how far along a strip from a point of the frame both ends of a
// guide are still on the host.
func (m *maker) guideLimit(f *handFrame, s *handStrip, from geom.Vec2) float64 {
	along, limit := f.place.Dir(geom.Vec2{X: 1}), longestStrip
	for _, aside := range []float64{-s.guideHalf(&m.o), 0, s.guideHalf(&m.o)} {
		at := f.place.Apply(from.Add(geom.Vec2{Y: aside}))
		gaps := outside(m.a.Panels[f.host].Outline, at, along, 0, longestStrip)
		if len(gaps) > 0 && gaps[0][0] == 0 {
			gaps = gaps[1:] // it comes onto the panel further on, or not at all
		}
		if len(gaps) > 0 {
			limit = min(limit, gaps[0][0])
		}
	}
	return limit
}

// longestStrip is beyond any panel, mm.
const longestStrip = 10_000.0

// exit is how far a strip that starts at a point of the frame runs on its panel,
// and whether what it then comes to is paper of the same part, over a crease.
func (m *maker) exit(f *handFrame, from geom.Vec2) (far float64, crease bool) {
	at, along := f.place.Apply(from), f.place.Dir(geom.Vec2{X: 1})
	gaps := outside(m.a.Panels[f.host].Outline, at, along, 0, longestStrip)
	if len(gaps) == 0 {
		return longestStrip, false
	}
	far = gaps[0][0]
	beyond := m.place[f.host].Apply(at.Add(along.Mul(far + creaseClearance)))
	return far, geom.PolygonContains(m.Parts[m.partOf[f.host]].Outline.Flatten(flatTolerance)[0], beyond)
}

// addGripAccess lets a hand take the grip. It is taken where it stands out past
// the edge of its host; one that ends just short of the edge is laid bare by a
// round notch; one further in is moved by a thumb through a slot as long as the
// stroke and the thumb.
func (m *maker) addGripAccess(f *handFrame, s *handStrip, from geom.Vec2) {
	edge, crease := m.exit(f, from)
	end := s.length + gripLong
	if over := end + s.stroke + m.web() - edge; crease && over > 0 {
		m.reportLength(CodeOverCrease, f.mechanism, "strip/length", over,
			fmt.Sprintf("when pulled, the strip of %s runs over a crease at the edge of %s; make it %s shorter", Spaced(f.id), m.a.Panels[f.host].ID, m.length(over)))
		return
	}
	inside := edge - end
	if !s.behind || !crease && inside <= -gripOut {
		return
	}
	if !crease && inside <= notchReach && m.addNotch(f, from.Add(geom.Vec2{X: edge}), max(leastNotch, inside+gripShown)) {
		return
	}
	slot := geom.RoundedRect(from.X+s.length+gripGap, from.Y-thumbWide/2, from.X+end+s.stroke-gripGap, from.Y+thumbWide/2, thumbWide/2).Transform(f.place)
	if m.fits(f.host, slot) {
		m.cutHole(f.host, slot, cutName{f.mechanism, "place", "the thumb slot of " + Spaced(f.id)})
		return
	}
	detail := fmt.Sprintf("nothing can take hold of the strip of %s: there is no room for a thumb slot over its grip", Spaced(f.id))
	if crease {
		m.report(CodeNoThumb, f.mechanism, "strip/length", detail)
		return
	}
	short := max(0, inside-notchReach)
	m.reportLength(CodeNoThumb, f.mechanism, "strip/length", short,
		detail+fmt.Sprintf("; make it %s longer, so that it comes to the edge of %s", m.length(short), m.a.Panels[f.host].ID))
}

// addNotch cuts a round notch into the edge of the host's part, about a point of
// the frame; false when that is no straight edge as far as the notch goes, or it
// would come near another cut.
func (m *maker) addNotch(f *handFrame, at geom.Vec2, radius float64) bool {
	part := &m.Parts[m.partOf[f.host]]
	circle := geom.Circle(m.inHost(f).Apply(at), radius)
	ring := circle.Flatten(flatTolerance)[0]
	if m.openings(m.partOf[f.host]).within(ring, m.web()) < m.web() {
		return false
	}
	for i := range part.Creases {
		if geom.RingDistance(ring, []geom.Vec2{part.Creases[i].From, part.Creases[i].To}) < m.web() {
			return false
		}
	}
	rest, err := geom.Difference(part.Outline, circle)
	// Of a straight edge it takes half a disc, however the strip meets it.
	half := math.Pi * radius * radius / 2
	if err != nil || len(rest) != 1 || abs(abs(part.Outline.Area())-rest.Area()-half) > sliver*half {
		return false
	}
	part.Outline = rest
	m.opened = append(m.opened, opened{m.partOf[f.host], circle, cutName{f.mechanism, "place", "the notch for the grip of " + Spaced(f.id)}})
	return true
}
