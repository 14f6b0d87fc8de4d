package collide

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// None stands for a panel, a strip or a driver that there is none of.
const None = -1

// Piece names a piece of an assembly: a panel, or the part of a strip that runs
// free from page to page, by their numbers there. The other is None.
type Piece struct{ Panel, Strip int }

// Bodies are the pieces of an assembly, made ready to be looked at in pose after
// pose. They hold the room that takes, so they serve one at a time.
type Bodies struct {
	// Unread are the panels whose outlines are too tangled to tell inside from
	// outside. Nothing is found of them.
	Unread []int

	a      *kinematics.Assembly
	bodies []body
	known  pairs // of bodies that need no looking at

	// matter tells of which mechanisms the pairs are looked at; nil looks at all.
	matter func(mechanism int) bool

	prover
	posed int // how many poses have been looked at
	broad broad
}

// body is a piece.
type body struct {
	Piece
	face *Face
	// holds are what holds its corners; all but those of strips and of tents that
	// are drawn are held alike.
	holds [2]hold
	// sheet is a panel in whose plane the body lies at all times, or None.
	sheet int
	// strip is the one that draws the body or is it, or None, and slack how far
	// that is drawn within the interval looked at, from its middle.
	strip     int
	slack     float64
	mechanism int
	here      bool // in the pose looked at
	placed    int  // the pose it was last moved to
}

// hold is a panel in whose plane a corner lies, at one place of it or sliding as a
// strip is drawn.
type hold struct {
	panel  int
	slides bool
}

// held tells what holds a corner: of a strip the first where it begins and the
// second where it ends, of the far panel of a tent the second where it slides on
// its host.
func (b *body) held(corner int) *hold {
	at := b.face.flat[corner]
	if b.Strip != None && at.X > 0 || b.Strip == None && b.holds[1].slides && at.Y == 0 {
		return &b.holds[1]
	}
	return &b.holds[0]
}

// frame is a panel in whose frame the body hardly moves.
func (b *body) frame() int {
	if b.sheet != None {
		return b.sheet
	}
	return b.holds[0].panel
}

// Compile makes the pieces of an assembly ready. Once stop, which may be nil,
// returns true that is left half done, for a sweep that is told to stop too.
func Compile(a *kinematics.Assembly, stop func() bool) *Bodies {
	b := &Bodies{a: a}
	b.prover = prover{
		motion: motion{
			panels: len(a.Panels), joints: a.Joints(), hops: hopsOf(a), sheets: sheetsOf(a),
			pose: a.NewPose(), ranges: a.NewRanges(), links: make([]link, len(a.Joints())),
		},
		noise: Rounding * a.Design.Size(),
	}
	if stop == nil {
		stop = func() bool { return false }
	}
	for i := range a.Panels {
		if stop() {
			break
		}
		b.addPanel(i)
	}
	for i := range a.Strips {
		b.addStrip(i)
	}
	corners := 0
	for i := range b.bodies {
		corners = max(corners, len(b.bodies[i].face.flat))
	}
	b.rays = make([]geom.Vec3, 0, 2*corners)
	b.know(stop)
	b.broad = newBroad(len(b.bodies))
	return b
}

func (b *Bodies) addPanel(panel int) {
	rings, err := paper.Rings(&b.a.Panels[panel], kinematics.OutlineTolerance)
	if err != nil {
		b.Unread = append(b.Unread, panel)
		return
	}
	face := NewFace(rings)
	if len(face.flat) == 0 {
		return
	}
	x := body{
		Piece: Piece{panel, None}, face: face, holds: [2]hold{{panel: panel}, {panel: panel}},
		sheet: b.sheets[panel], strip: None, mechanism: b.a.Panels[panel].Mechanism,
	}
	b.hold(&x)
	b.bodies = append(b.bodies, x)
}

// hold tells what the far panel of a tent that is drawn hangs on: the ridge of its
// near panel, and the panel it slides on.
func (b *Bodies) hold(x *body) {
	for i := range b.a.Strips {
		m := &b.a.Design.Mechanisms[b.a.Strips[i].Mechanism]
		if b.a.Strips[i].Mechanism == x.mechanism && b.a.Panels[x.Panel].ID == m.ID+".far" {
			x.holds = [2]hold{{panel: b.a.PanelIndex(m.ID + ".near")}, {panel: b.a.PanelIndex(m.On.Panel), slides: true}}
			x.strip = i
		}
	}
}

// addStrip adds the part of a strip that crosses the gutter. What lies on a page,
// or behind it, is a layer there.
func (b *Bodies) addStrip(strip int) {
	s := &b.a.Strips[strip]
	if s.Length == 0 {
		return
	}
	b.a.PoseInto(b.pose, kinematics.Drive{Opening: b.a.Design.Spread.OpensTo})
	begins := hold{panel: b.a.PanelIndex(b.a.Design.Mechanisms[s.Mechanism].On.Panel)}
	begins.slides = paper.Bands(b.a, b.pose, strip) == 1 // not led under the near panel
	b.bodies = append(b.bodies, body{
		Piece: Piece{None, strip}, face: NewFace([][]geom.Vec2{{{}, {X: 1}, {X: 1, Y: s.Width}, {Y: s.Width}}}),
		holds: [2]hold{begins, {panel: s.Anchor.Panel}}, sheet: None, strip: strip, mechanism: s.Mechanism,
	})
}

// place moves the pieces to where they are in a pose.
func (b *Bodies) place(p *kinematics.Pose) {
	b.posed++
	for i := range b.bodies {
		b.placeBody(&b.bodies[i], p)
	}
}

// body is a piece where it is in the pose of the bodies. Few are asked for in most
// poses.
func (b *Bodies) body(i int) *body {
	x := &b.bodies[i]
	if x.placed != b.posed {
		b.placeBody(x, b.pose)
	}
	return x
}

func (b *Bodies) placeBody(x *body, p *kinematics.Pose) {
	x.placed = b.posed
	if x.Strip == None {
		if x.here = p.Has(x.Panel); x.here {
			x.face.MoveTo(p.Panels[x.Panel])
		}
		return
	}
	band, ok := paper.BandAt(b.a, p, x.Strip, paper.Bands(b.a, p, x.Strip)-1)
	if x.here = ok; ok {
		x.face.stretch(band.Length)
		x.face.MoveTo(band.Frame)
	}
}
