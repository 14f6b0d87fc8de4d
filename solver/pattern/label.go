package pattern

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"foldwright/solver/geom"
)

const (
	// labelPad is the room kept around lettering, mm.
	labelPad = 0.4
	// labelStep is the step the lettering shrinks by until it fits, mm.
	labelStep = 0.5
	// labelGrid is the number of places tried across a region each way.
	labelGrid = 20
	// labelReach is how far from an area its letter is looked for first, in
	// heights of the lettering: where it is still seen to belong there.
	labelReach = 4
	// onBackSuffix marks what is on the reverse of the printed face, though it
	// is drawn as seen from the front.
	onBackSuffix = " rev"
)

// TextWidth is about how wide a line of lettering of the given height runs.
// Widths are parts of the height of capitals, 0.72 em, and those of the wider
// common sans-serif faces.
func TextWidth(text string, height float64) float64 {
	wide := 0.0
	for _, r := range text {
		switch {
		case strings.ContainsRune(" ijltfrI.,:;'1", r):
			wide += 0.5
		case strings.ContainsRune("mwMW", r):
			wide += 1.35
		case r >= 'A' && r <= 'Z':
			wide += 1
		default:
			wide += 0.86
		}
	}
	return wide * height
}

// Spaced is an id as people read it.
func Spaced(id string) string { return strings.ReplaceAll(id, "_", " ") }

// labelRequest asks for the letter of a glue area, along a direction.
type labelRequest struct {
	glue  int
	along geom.Vec2
}

// addLabels writes the letter of every joint in its glue areas and the name in
// every part. Letters go first: they have less choice.
func (m *maker) addLabels() {
	if m.o.Unlettered {
		return
	}
	for i := range m.Parts {
		if m.stop() {
			return
		}
		w := newLetterer(&m.Parts[i], m.o.LabelHeight)
		for _, r := range m.requests[i] {
			if m.stop() {
				return
			}
			w.letter(&m.Parts[i].Glue[r.glue], r.along)
		}
		for _, n := range m.notes {
			if n.part == i {
				w.note(&n)
			}
		}
		w.name()
		w.grain()
	}
}

// letterer finds room for lettering in one part.
type letterer struct {
	part    *Part
	height  float64
	paper   *region // outline and holes
	edges   []edge  // lines that lettering may not cross
	edgesAt *grid
	kept    []keptClear
	keptAt  *grid
	below   float64 // bottom of what is written under the part
}

type edge struct{ a, b geom.Vec2 }

// keptClear is an area that some lettering keeps out of.
type keptClear struct {
	ring []geom.Vec2
	box  geom.Box2
	kind keptKind
}

// keptKind is a set of reasons to keep out of an area.
type keptKind uint8

const (
	taken keptKind = 1 << iota // there is lettering in it
	gluedFront
	gluedBack
)

func newLetterer(p *Part, height float64) *letterer {
	box := p.Bounds()
	w := emptyLetterer(box)
	w.part, w.height, w.below = p, height, box.Min.Y
	w.paper = newRegion(append(p.Outline.Flatten(flatTolerance), p.Holes.Flatten(flatTolerance)...))
	w.block(w.paper.rings)
	w.block(p.Guides.Flatten(flatTolerance))
	for i := range p.Slots {
		w.block(p.Slots[i].Path.Flatten(flatTolerance))
	}
	for i := range p.Glue {
		rings := p.Glue[i].Path.Flatten(flatTolerance)
		w.block(rings)
		if p.Glue[i].OnBack {
			w.keepOut(rings, gluedBack)
		} else {
			w.keepOut(rings, gluedFront)
		}
	}
	for _, line := range p.Cuts.Flatten(flatTolerance) {
		for i := 1; i < len(line); i++ {
			w.addEdge(line[i-1], line[i])
		}
	}
	for i := range p.Creases {
		w.addEdge(p.Creases[i].From, p.Creases[i].To)
	}
	return w
}

// emptyLetterer has nothing in the way of lettering, in an area.
func emptyLetterer(area geom.Box2) *letterer {
	return &letterer{edgesAt: newGrid(area), keptAt: newGrid(area)}
}

func (w *letterer) addEdge(a, b geom.Vec2) {
	w.edgesAt.add(len(w.edges), geom.EmptyBox().Extend(a).Extend(b))
	w.edges = append(w.edges, edge{a, b})
}

func (w *letterer) block(rings [][]geom.Vec2) {
	for _, r := range rings {
		for i, a := range r {
			w.addEdge(a, r[(i+1)%len(r)])
		}
	}
}

func (w *letterer) keepOut(rings [][]geom.Vec2, kind keptKind) {
	for _, r := range rings {
		box := ringBox(r)
		w.keptAt.add(len(w.kept), box)
		w.kept = append(w.kept, keptClear{r, box, kind})
	}
}

// letter writes a joint's letter in its glue area, or as near to it as there is
// room.
func (w *letterer) letter(g *GlueArea, along geom.Vec2) {
	text := g.Label
	if g.OnBack {
		text += onBackSuffix
	}
	area := g.Path.Flatten(flatTolerance)
	at := centroid(area)
	for _, direction := range []geom.Vec2{along, along.Perp()} {
		if w.write(text, newRegion(area), at, direction, taken) {
			return
		}
	}
	around := g.Path.Bounds().Grow(labelReach * w.height)
	for _, within := range []geom.Box2{around, w.paper.box} {
		for _, direction := range []geom.Vec2{along, along.Perp()} {
			if w.writeWithin(within, text, w.paper, at, direction, taken|gluedFront|gluedBack) {
				return
			}
		}
	}
	w.writeBelow(text)
}

// name writes the part's name clear of everything else, or below the part.
func (w *letterer) name() {
	at := w.part.middle
	for _, direction := range []geom.Vec2{{X: 1}, {Y: 1}} {
		if w.write(w.part.Name, w.paper, at, direction, taken|gluedFront) {
			return
		}
	}
	w.writeBelow(w.part.Name)
}

// note writes a word for the maker near its point, if there is room.
func (w *letterer) note(n *note) {
	for _, direction := range []geom.Vec2{n.along, n.along.Perp()} {
		if w.write(n.text, w.paper, n.at, direction, taken|gluedFront|gluedBack) {
			return
		}
	}
}

// Sizes of the arrow along the grain, mm, largest first; a part without room
// for the smallest has none.
var grainArrows = []float64{14, 10, 7}

// grain draws a double arrow along the fibres where there is room for it.
func (w *letterer) grain() {
	along := w.part.Grain
	places := placesIn(w.paper.boxes[0], w.part.middle)
	for _, long := range grainArrows {
		head := long / 10
		r := textBox{along: along, halfWide: long/2 + labelPad, halfHigh: head + labelPad}
		for _, r.at = range places {
			if w.fits(&r, w.paper, taken|gluedFront) {
				w.part.Guides = append(w.part.Guides, arrow(r.at, along, long, head)...)
				w.take(&r)
				return
			}
		}
	}
}

// arrow is a shaft with a head at either end.
func arrow(middle, along geom.Vec2, long, head float64) geom.Path {
	up := along.Perp().Mul(head)
	a, b := middle.Sub(along.Mul(long/2)), middle.Add(along.Mul(long/2))
	in := along.Mul(2 * head)
	path := geom.PolylinePath([]geom.Vec2{a, b}, false)
	path = append(path, geom.PolylinePath([]geom.Vec2{a.Add(in).Add(up), a, a.Add(in).Sub(up)}, false)...)
	return append(path, geom.PolylinePath([]geom.Vec2{b.Sub(in).Add(up), b, b.Sub(in).Sub(up)}, false)...)
}

// write puts text in a region as near to a point as it fits, in the largest
// lettering that does.
func (w *letterer) write(text string, in *region, near, along geom.Vec2, avoid keptKind) bool {
	return w.writeWithin(in.box, text, in, near, along, avoid)
}

// writeWithin is write at places within a box.
func (w *letterer) writeWithin(within geom.Box2, text string, in *region, near, along geom.Vec2, avoid keptKind) bool {
	angle := upright(along)
	r := newTextBox(near, TextWidth(text, w.height), w.height, angle)
	if w.fits(&r, in, avoid) {
		w.put(text, near, w.height, angle)
		return true
	}
	var places []geom.Vec2
	for h := w.height; ; h = max(h-labelStep, MinLabelHeight) {
		r := newTextBox(near, TextWidth(text, h), h, angle)
		if r.smallerThan(within) {
			if places == nil {
				places = placesIn(within, near)
			}
			for _, p := range places {
				r.at = p
				if w.fits(&r, in, avoid) {
					w.put(text, p, h, angle)
					return true
				}
			}
		}
		if h <= MinLabelHeight {
			return false
		}
	}
}

// placesIn lists a grid of points in a box, nearest to a point first.
func placesIn(box geom.Box2, near geom.Vec2) []geom.Vec2 {
	places := []geom.Vec2{near}
	size := box.Size()
	for i := 1; i < labelGrid; i++ {
		for j := 1; j < labelGrid; j++ {
			places = append(places, box.Min.Add(geom.Vec2{X: size.X * float64(i) / labelGrid, Y: size.Y * float64(j) / labelGrid}))
		}
	}
	slices.SortStableFunc(places, func(a, b geom.Vec2) int {
		da, db := a.Sub(near), b.Sub(near)
		return cmp.Compare(da.Dot(da), db.Dot(db))
	})
	return places
}

func (w *letterer) put(text string, at geom.Vec2, h float64, angle geom.Angle) {
	w.part.Labels = append(w.part.Labels, Label{Text: text, At: at, Height: h, Angle: angle})
	r := newTextBox(at, TextWidth(text, h), h, angle)
	w.take(&r)
}

func (w *letterer) take(r *textBox) {
	box := [][]geom.Vec2{r.corners()}
	w.block(box)
	w.keepOut(box, taken)
}

// writeBelow puts text under the part, each line below the one before.
func (w *letterer) writeBelow(text string) {
	at := geom.Vec2{X: w.part.Bounds().Center().X, Y: w.below - 3*labelPad - MinLabelHeight/2}
	w.below = at.Y - MinLabelHeight/2
	w.part.Labels = append(w.part.Labels, Label{Text: text, At: at, Height: MinLabelHeight})
}

// textBox is a line of lettering with room around it.
type textBox struct {
	at       geom.Vec2
	along    geom.Vec2
	halfWide float64
	halfHigh float64
}

func newTextBox(at geom.Vec2, wide, high float64, angle geom.Angle) textBox {
	sin, cos := angle.Sincos()
	return textBox{at, geom.Vec2{X: cos, Y: sin}, wide/2 + labelPad, high/2 + labelPad}
}

func (r *textBox) corners() []geom.Vec2 {
	x, y := r.along.Mul(r.halfWide), r.along.Perp().Mul(r.halfHigh)
	return []geom.Vec2{r.at.Sub(x).Sub(y), r.at.Add(x).Sub(y), r.at.Add(x).Add(y), r.at.Sub(x).Add(y)}
}

// box is the upright box around the lettering.
func (r *textBox) box() geom.Box2 {
	up := r.along.Perp()
	half := geom.Vec2{
		X: abs(r.along.X)*r.halfWide + abs(up.X)*r.halfHigh,
		Y: abs(r.along.Y)*r.halfWide + abs(up.Y)*r.halfHigh,
	}
	return geom.Box2{Min: r.at.Sub(half), Max: r.at.Add(half)}
}

// smallerThan tells whether the lettering would lie in a box if it were in the
// right place.
func (r *textBox) smallerThan(box geom.Box2) bool {
	own, size := r.box().Size(), box.Size()
	return own.X <= size.X && own.Y <= size.Y
}

// fits tells whether the box lies in a region, crossed by no edge and outside
// what it should avoid. With no edge through it, one point decides where it is.
// The edges of the region must be among the edges.
func (w *letterer) fits(r *textBox, in *region, avoid keptKind) bool {
	box := r.box()
	if !in.box.Contains(box.Min) || !in.box.Contains(box.Max) {
		return false
	}
	if w.edgesAt.any(box, func(i int) bool { return r.touches(w.edges[i]) }) {
		return false
	}
	if w.keptAt.any(geom.Box2{Min: r.at, Max: r.at}, func(i int) bool {
		k := &w.kept[i]
		return k.kind&avoid != 0 && k.box.Contains(r.at) && geom.PolygonContains(k.ring, r.at)
	}) {
		return false
	}
	return in.contains(r.at)
}

// touches tells whether an edge has a point in the box: the edge is clipped to
// the box in the box's own axes (Liang and Barsky).
func (r *textBox) touches(e edge) bool {
	a, d := e.a.Sub(r.at), e.b.Sub(e.a)
	up := r.along.Perp()
	t0, t1 := 0.0, 1.0
	for _, axis := range [2]struct{ from, run, half float64 }{
		{a.Dot(r.along), d.Dot(r.along), r.halfWide},
		{a.Dot(up), d.Dot(up), r.halfHigh},
	} {
		if axis.run == 0 {
			if abs(axis.from) > axis.half {
				return false
			}
			continue
		}
		enter, leave := (-axis.half-axis.from)/axis.run, (axis.half-axis.from)/axis.run
		t0, t1 = max(t0, min(enter, leave)), min(t1, max(enter, leave))
	}
	return t0 <= t1
}

// upright is the angle of a direction, turned half round where lettering along
// it would stand on its head.
func upright(d geom.Vec2) geom.Angle {
	if d.X < -weldTolerance || d.X < weldTolerance && d.Y < 0 {
		d = d.Mul(-1)
	}
	return geom.Angle(math.Atan2(d.Y, d.X))
}

// centroid is the centre of area of rings, holes counted off by their sense.
func centroid(rings [][]geom.Vec2) geom.Vec2 {
	var sum geom.Vec2
	area := 0.0
	for _, ring := range rings {
		o := ring[0]
		for i := 1; i+1 < len(ring); i++ {
			a, b := ring[i].Sub(o), ring[i+1].Sub(o)
			part := a.Cross(b) / 2
			sum = sum.Add(o.Add(a.Add(b).Mul(1.0 / 3)).Mul(part))
			area += part
		}
	}
	if area == 0 {
		return rings[0][0]
	}
	return sum.Mul(1 / area)
}
