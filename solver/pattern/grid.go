package pattern

import "foldwright/solver/geom"

const (
	// gridAcross is the most cells of a grid each way, and leastCell the least
	// width of one, mm: about that of a letter.
	gridAcross = 64
	leastCell  = 4.0
)

// grid finds things by where they are: it lists, by cell of an area, what has a
// box that reaches into it. What lies outside the area is in the cells at its
// border.
type grid struct {
	from  geom.Vec2
	cell  geom.Vec2
	n     [2]int
	cells [][]int32
}

func newGrid(area geom.Box2) *grid {
	g := &grid{from: area.Min}
	axis := func(size float64) (n int, cell float64) {
		n = min(gridAcross, max(1, int(size/leastCell)))
		return n, max(size/float64(n), leastCell)
	}
	size := area.Size()
	g.n[0], g.cell.X = axis(size.X)
	g.n[1], g.cell.Y = axis(size.Y)
	g.cells = make([][]int32, g.n[0]*g.n[1])
	return g
}

// at is the column and row of a point.
func (g *grid) at(p geom.Vec2) (i, j int) {
	q := p.Sub(g.from)
	within := func(v float64, n int) int { return int(max(0, min(v, float64(n-1)))) }
	return within(q.X/g.cell.X, g.n[0]), within(q.Y/g.cell.Y, g.n[1])
}

func (g *grid) add(index int, box geom.Box2) {
	i0, j0 := g.at(box.Min)
	i1, j1 := g.at(box.Max)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			c := &g.cells[j*g.n[0]+i]
			*c = append(*c, int32(index))
		}
	}
}

// any tells whether something near a box passes a test. It may be asked of one
// thing more than once.
func (g *grid) any(box geom.Box2, test func(index int) bool) bool {
	i0, j0 := g.at(box.Min)
	i1, j1 := g.at(box.Max)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			for _, k := range g.cells[j*g.n[0]+i] {
				if test(int(k)) {
					return true
				}
			}
		}
	}
	return false
}

// region is an area by its rings, by the even-odd rule, with their boxes.
type region struct {
	rings [][]geom.Vec2
	boxes []geom.Box2
	box   geom.Box2
}

func newRegion(rings [][]geom.Vec2) *region {
	r := &region{rings: rings, boxes: make([]geom.Box2, len(rings)), box: geom.EmptyBox()}
	for i, ring := range rings {
		r.boxes[i] = ringBox(ring)
		r.box = r.box.Union(r.boxes[i])
	}
	return r
}

func (r *region) contains(p geom.Vec2) bool {
	in := false
	for i, ring := range r.rings {
		if r.boxes[i].Contains(p) && geom.PolygonContains(ring, p) {
			in = !in
		}
	}
	return in
}

func ringBox(ring []geom.Vec2) geom.Box2 {
	box := geom.EmptyBox()
	for _, p := range ring {
		box = box.Extend(p)
	}
	return box
}
