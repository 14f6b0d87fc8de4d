package draw

import (
	"fmt"
	"math"

	"foldwright/solver/geom"
)

// CutLimits is what a machine can cut, mm. Zero leaves a limit out.
type CutLimits struct {
	MinWeb    float64 // narrowest paper between cuts
	MinRadius float64 // tightest bend
	Most      int     // webs reported of one part
}

const (
	// DefaultMinWeb suits a blade (common practice: 2 mm, or five times the
	// thickness of the paper).
	DefaultMinWeb = 2.0
	// DefaultMinRadius is about the offset of a drag blade, 0.25 to 0.3 mm by
	// blade sellers' tables; tighter bends come out as corners.
	DefaultMinRadius = 0.3
)

// CheckCuts finds webs that are too thin and bends that are too tight in the
// closed cuts of each part: for each pair of contours, and each contour with
// itself, the thinnest web.
func CheckCuts(d *Drawing, limits CutLimits) ([]CutFinding, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	var out []CutFinding
	for i := range d.Parts {
		p := &d.Parts[i]
		placed := *p
		placed.Marks = make([]Mark, len(p.Marks))
		for j, m := range p.Marks {
			m.Path = m.Path.Transform(p.Place)
			placed.Marks[j] = m
		}
		out = append(out, tightBends(&placed, limits.MinRadius)...)
		out = append(out, thinWebs(&placed, limits.MinWeb, limits.Most)...)
	}
	return out, nil
}

// tightBends reports the tightest circular arc of each cut.
func tightBends(p *Part, limit float64) []CutFinding {
	var out []CutFinding
	for _, m := range p.Marks {
		if m.Op != Cut || m.Fill {
			continue
		}
		worst := CutFinding{Code: RadiusTooSmall, Part: p.ID, Mark: m.ID, Amount: math.Inf(1), Limit: limit}
		for i := range m.Path {
			for _, k := range strokesOf(&m.Path[i], kerfFlatness) {
				if k.bulge != 0 && k.radius() < worst.Amount {
					worst.Amount, worst.At = k.radius(), k.at(0.5)
				}
			}
		}
		if worst.Amount < limit-coincidence/2 {
			worst.Message = fmt.Sprintf("a bend of %.3g mm radius is tighter than %g mm", worst.Amount, limit)
			out = append(out, worst)
		}
	}
	return out
}

// thinWebs reports, for each pair of rings, where the paper is thinnest.
func thinWebs(p *Part, limit float64, most int) []CutFinding {
	if !(limit > 0) {
		return nil
	}
	rings := closedCuts(p)
	polygons := make([][]geom.Vec2, len(rings))
	boxes := make([]geom.Box2, len(rings))
	for i := range rings {
		polygons[i], boxes[i] = rings[i].points, geom.EmptyBox()
		for _, q := range rings[i].points {
			boxes[i] = boxes[i].Extend(q)
		}
	}
	var out []CutFinding
	for i := range rings {
		for j := i; j < len(rings); j++ {
			if !boxes[i].Grow(limit).Overlaps(boxes[j]) {
				continue
			}
			worst := CutFinding{Code: WebTooThin, Part: p.ID, Mark: rings[i].id, Amount: math.Inf(1), Limit: limit}
			longest := 0.0
			narrow(polygons[i], polygons[j], i == j, limit, func(w web) {
				// Of webs as thin as each other, the longest one stands for all.
				width, at := w.q.Sub(w.p).Norm(), w.p.Lerp(w.q, 0.5)
				thinner := width < worst.Amount-coincidence
				if thinner || width < worst.Amount+coincidence && w.length > longest {
					if width < coincidence || geom.RingsContain(polygons, at) {
						worst.Amount, worst.At, longest = min(width, worst.Amount), at, w.length
					}
				}
			})
			if worst.Amount < limit-coincidence {
				worst.Message = fmt.Sprintf("only %.3g mm of paper are left here between cuts, less than %g mm", worst.Amount, limit)
				if out = append(out, worst); len(out) == most {
					return out
				}
			}
		}
	}
	return out
}

// narrow calls f for the nearest points of edges of two rings that are closer
// than the limit. Within one ring only narrows count, places where walking
// towards each other along the ring does not bring the points nearer: the sides
// of a corner are near each other too, but no web.
func narrow(a, b []geom.Vec2, same bool, limit float64, f func(web)) {
	boxes := make([]geom.Box2, len(b))
	for j := range b {
		boxes[j] = geom.Box2{Min: b[j], Max: b[j]}.Extend(b[(j+1)%len(b)])
	}
	along := lengthsAlong(a)
	for i := range a {
		a0, a1 := a[i], a[(i+1)%len(a)]
		box := geom.Box2{Min: a0, Max: a0}.Extend(a1).Grow(limit)
		first := 0
		if same {
			first = i + 1
		}
		for j := first; j < len(b); j++ {
			b0, b1 := b[j], b[(j+1)%len(b)]
			if !box.Overlaps(boxes[j]) {
				continue
			}
			w := nearest(a0, a1, b0, b1)
			if w.p.Sub(w.q).Norm() >= limit || same && (w.p == w.q || !isNarrow(a, along, i, j, w.p, w.q)) {
				continue
			}
			f(w)
		}
	}
}

// narrowSlope is how fast two sides may close in and still count as a web:
// between the sides of a corner of less than some six degrees there is one.
const narrowSlope = 0.05

// lengthsAlong is how far each corner of a ring is from its first, and last the
// whole length.
func lengthsAlong(ring []geom.Vec2) []float64 {
	along := make([]float64, len(ring)+1)
	for i, p := range ring {
		along[i+1] = along[i] + ring[(i+1)%len(ring)].Sub(p).Norm()
	}
	return along
}

func isNarrow(ring []geom.Vec2, along []float64, i, j int, p, q geom.Vec2) bool {
	n := len(ring)
	ahead := along[j] - along[i+1] // the way from p on to q
	behind := along[n] - along[j+1] + along[i]
	from, to := i, j
	pq := [2]geom.Vec2{p, q}
	if ahead > behind { // the short way leaves q forwards and reaches p
		from, to = j, i
		pq = [2]geom.Vec2{q, p}
	}
	out, in := forwards(ring, from, pq[0]), backwards(ring, to, pq[1])
	across := pq[1].Sub(pq[0]).Unit()
	return out.Dot(across) <= narrowSlope && in.Dot(across) >= -narrowSlope
}

// forwards is the direction of the ring on from a point of edge i.
func forwards(ring []geom.Vec2, i int, p geom.Vec2) geom.Vec2 {
	n := len(ring)
	if p == ring[(i+1)%n] {
		i++
	}
	return ring[(i+1)%n].Sub(ring[i%n]).Unit()
}

// backwards is the direction of the ring back from a point of edge i.
func backwards(ring []geom.Vec2, i int, p geom.Vec2) geom.Vec2 {
	n := len(ring)
	if p == ring[i] {
		i += n - 1
	}
	return ring[i%n].Sub(ring[(i+1)%n]).Unit()
}

// web is the nearest points of two edges, and for how long they are as near.
type web struct {
	p, q   geom.Vec2
	length float64
}

// nearest is the nearest points of two edges; the middle of them where parallel
// sides have many.
func nearest(a0, a1, b0, b1 geom.Vec2) web {
	if geom.SegmentDistance(a0, a1, b0, b1) == 0 {
		d, e := a1.Sub(a0), b1.Sub(b0)
		t := 0.0
		if den := d.Cross(e); den != 0 {
			t = min(1, max(0, b0.Sub(a0).Cross(e)/den))
		}
		at := a0.Lerp(a1, t)
		return web{at, at, 0}
	}
	onto := func(p, a, b geom.Vec2) geom.Vec2 {
		d := b.Sub(a)
		if n := d.Dot(d); n > 0 {
			return a.Lerp(b, min(1, max(0, p.Sub(a).Dot(d)/n)))
		}
		return a
	}
	pairs := [4][2]geom.Vec2{
		{a0, onto(a0, b0, b1)}, {a1, onto(a1, b0, b1)}, {onto(b0, a0, a1), b0}, {onto(b1, a0, a1), b1},
	}
	best := math.Inf(1)
	for _, q := range pairs {
		best = min(best, q[0].Sub(q[1]).Norm())
	}
	var p, q geom.Vec2
	n, reach := 0.0, geom.EmptyBox()
	for _, r := range pairs {
		if r[0].Sub(r[1]).Norm() <= best+coincidence/10 {
			p, q, n, reach = p.Add(r[0]), q.Add(r[1]), n+1, reach.Extend(r[0])
		}
	}
	return web{p.Mul(1 / n), q.Mul(1 / n), reach.Size().Norm()}
}
