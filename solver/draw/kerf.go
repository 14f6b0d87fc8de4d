package draw

import (
	"fmt"
	"math"

	"foldwright/solver/geom"
)

// CutCode is what may go wrong with a cut.
type CutCode string

const (
	GapClosed      CutCode = "gap_closed"       // the beam is wider than a gap in an outline
	HoleLost       CutCode = "hole_lost"        // the beam is wider than a hole
	HoleSplit      CutCode = "hole_split"       // ... than a neck of a hole
	WebTooThin     CutCode = "web_too_thin"     // little paper left between cuts
	RadiusTooSmall CutCode = "radius_too_small" // a bend tighter than the blade can follow
)

// CutFinding is one place where a cut will not come out as drawn.
type CutFinding struct {
	Code          CutCode
	Part, Mark    string    // ids
	At            geom.Vec2 // in the drawing
	Amount, Limit float64   // mm
	Message       string
}

const (
	// kerfFlatness is the chord error of curves other than circular arcs when
	// they are offset, mm: a tenth of the spot of a laser.
	kerfFlatness = 0.01
	// roundSagitta is the height below which the rounding of a joint is left
	// straight, mm; it is the grid of the area operations.
	roundSagitta = 0.0001
	// smoothTurn is the turn between strokes that is rounding alone.
	smoothTurn = 1e-6
)

// Compensate moves closed cuts by half the kerf, so that the piece has its
// drawn size though the beam or blade takes the kerf away: outlines grow, holes
// shrink. Contours of one part count as holes by how deep they lie in each
// other. Joints are arcs, the exact path of the middle of a round beam; arcs
// stay arcs and other curves become chords. Open cuts and creases stay.
//
// Neighbours on a common line no longer share it: run RemoveDuplicateLines
// only on drawings without kerf.
func Compensate(d *Drawing, kerf float64) (*Drawing, []CutFinding, error) {
	if err := d.check(); err != nil {
		return nil, nil, err
	}
	if !(kerf >= 0) || math.IsInf(kerf, 0) {
		return nil, nil, &OptionError{"kerf", "is not a length"}
	}
	out := d.clone()
	if kerf == 0 {
		return out, nil, nil
	}
	var findings []CutFinding
	for i := range out.Parts {
		p := &out.Parts[i]
		rings := closedCuts(p)
		for j := range p.Marks {
			m := &p.Marks[j]
			if m.Op != Cut || m.Fill {
				continue
			}
			var path geom.Path
			for k := range m.Path {
				c := &m.Path[k]
				if !c.Closed {
					path = append(path, *c)
					continue
				}
				hole := depth(rings, j, k)%2 == 1
				moved, err := offset(c, kerf/2/p.Place.Factor(), hole)
				if err != nil {
					return nil, nil, &Error{Part: p.ID, Reason: "its cuts cannot be offset: " + err.Error()}
				}
				find := func(code CutCode, at geom.Vec2, message string) {
					findings = append(findings, CutFinding{code, p.ID, m.ID, p.Place.Apply(at), kerf, kerf, message})
				}
				switch {
				case hole && len(moved) == 0:
					find(HoleLost, c.Start, fmt.Sprintf("this hole is narrower than the kerf of %g mm and cannot be cut to size", kerf))
				case hole && len(moved) > 1:
					find(HoleSplit, moved[1].Start, fmt.Sprintf("this hole has a neck narrower than the kerf of %g mm", kerf))
				case !hole:
					for _, r := range moved {
						if r.Area() < 0 {
							find(GapClosed, r.Start, fmt.Sprintf("a gap in this outline is narrower than the kerf of %g mm and closes", kerf))
						}
					}
				}
				path = append(path, moved...)
			}
			m.Path = path
		}
	}
	return out, findings, nil
}

// cutRing is a closed cut of a part as a polygon.
type cutRing struct {
	mark, contour int
	id            string
	points        []geom.Vec2
}

func closedCuts(p *Part) []cutRing {
	var out []cutRing
	for j := range p.Marks {
		m := &p.Marks[j]
		if m.Op != Cut || m.Fill {
			continue
		}
		for k := range m.Path {
			if m.Path[k].Closed {
				out = append(out, cutRing{j, k, m.ID, m.Path[k : k+1].Flatten(kerfFlatness)[0]})
			}
		}
	}
	return out
}

// depth is the number of closed cuts around a contour: those that hold most of
// its vertices, so that a shared edge does not decide.
func depth(rings []cutRing, mark, contour int) int {
	var own []geom.Vec2
	for _, r := range rings {
		if r.mark == mark && r.contour == contour {
			own = r.points
		}
	}
	n := 0
	for _, r := range rings {
		if r.mark == mark && r.contour == contour || math.Abs(geom.PolygonArea(r.points)) <= math.Abs(geom.PolygonArea(own)) {
			continue
		}
		in := 0
		for i, q := range own {
			if geom.PolygonContains(r.points, q.Lerp(own[(i+1)%len(own)], 0.5)) {
				in++
			}
		}
		if 2*in > len(own) {
			n++
		}
	}
	return n
}

// offset is the outline of a closed contour grown by d, or of a hole shrunk by
// it: the area together with, or without, bands along its lines and wedges at
// its corners, on the side to which it moves. On that side the bands leave out
// only the wedges, and an overlap does not matter, so no crossing has to be
// traced.
func offset(c *geom.Contour, d float64, hole bool) (geom.Path, error) {
	area := geom.Path{*c}
	if area.Area() < 0 {
		area = area.Reverse()
	}
	strokes := tightened(strokesOf(&area[0], kerfFlatness), d, hole)
	area = strokesPath(strokes, true) // the bands must touch it
	// Anticlockwise, the outside is on the right.
	side := -1.0
	if hole {
		side = 1
	}
	shapes := []geom.Path{area}
	if hole {
		shapes = nil
	}
	for i, k := range strokes {
		shapes = append(shapes, band(k, d*side))
		next := strokes[(i+1)%len(strokes)]
		from, to := k.along(1), next.along(0)
		turn := math.Atan2(from.Cross(to), from.Dot(to))
		if turn*side < -smoothTurn { // away from the side: a gap opens
			shapes = append(shapes, wedge(k.b, from.Perp().Mul(d*side), to.Perp().Mul(d*side), turn))
		}
	}
	all, err := geom.Union(shapes...)
	if err != nil || !hole {
		return all, err
	}
	return geom.Difference(area, all)
}

// tightened replaces arcs that bend towards the side with a radius below the
// distance by chords: they have no parallel there.
func tightened(strokes []stroke, d float64, hole bool) []stroke {
	var out []stroke
	for _, k := range strokes {
		inward := (k.bulge > 0) == hole // the center is on the side the line moves to
		if k.bulge == 0 || !inward || k.radius() > 1.001*d {
			out = append(out, k)
			continue
		}
		n := max(2, int(math.Ceil(math.Abs(k.turn())/(math.Pi/12))))
		for i := range n {
			out = append(out, stroke{a: k.at(float64(i) / float64(n)), b: k.at(float64(i+1) / float64(n))})
		}
	}
	return out
}

// band is the area between a stroke and its parallel, d to the left.
func band(k stroke, d float64) geom.Path {
	far := stroke{k.a.Add(k.along(0).Perp().Mul(d)), k.b.Add(k.along(1).Perp().Mul(d)), k.bulge}
	back := far.reverse()
	return strokesPath([]stroke{k, {a: k.b, b: far.b}, back, {a: far.a, b: k.a}}, true)
}

// wedge is the sector between two normals at a corner.
func wedge(at, from, to geom.Vec2, turn float64) geom.Path {
	rim := stroke{a: at.Add(from), b: at.Add(to)}
	if from.Norm()*(1-math.Cos(turn/2)) > roundSagitta {
		rim.bulge = math.Tan(turn / 4)
	}
	return strokesPath([]stroke{{a: at, b: rim.a}, rim, {a: rim.b, b: at}}, true)
}
