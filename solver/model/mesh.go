package model

import (
	"foldwright/solver/geom"
)

// surface is triangles of one material. Places are in metres of the frame of
// the panel: u, v and along u × v.
type surface struct {
	material  int
	positions []vec3
	normals   []vec3
	indices   []int
}

type vec3 [3]float32

// Materials.
const (
	printedPaper = iota
	reversePaper
	paperEdge
	materials
)

// metre is one mm.
const metre = 1e-3

// sheet is the closed surface of paper of the given shape, between two heights
// along u × v, mm; the printed face is the upper one when printed is positive.
// None when the shape has no area.
func sheet(rings [][]geom.Vec2, low, high, printed float64) []surface {
	top, bottom := surface{material: printedPaper}, surface{material: reversePaper}
	if printed < 0 {
		top.material, bottom.material = reversePaper, printedPaper
	}
	side := surface{material: paperEdge}
	for _, p := range geom.Areas(rings) {
		triangles := p.Triangles()
		for _, ring := range p.Rings() {
			side.wall(ring, low, high)
		}
		number := map[geom.Vec2]int{}
		first := len(top.positions)
		for _, t := range triangles {
			for k := range 3 {
				q := t[k]
				n, ok := number[q]
				if !ok {
					n = first + len(number)
					number[q] = n
					top.add(q, high, vec3{0, 0, 1})
					bottom.add(q, low, vec3{0, 0, -1})
				}
				top.indices = append(top.indices, n)
			}
			bottom.indices = append(bottom.indices, number[t[2]], number[t[1]], number[t[0]])
		}
	}
	if len(top.indices) == 0 {
		return nil
	}
	if printed < 0 {
		top, bottom = bottom, top
	}
	return []surface{top, bottom, side}
}

func (s *surface) add(p geom.Vec2, height float64, normal vec3) {
	s.positions = append(s.positions, vec3{float32(p.X * metre), float32(p.Y * metre), float32(height * metre)})
	s.normals = append(s.normals, normal)
}

// wall adds the edges of the paper along a ring, each flat.
func (s *surface) wall(ring []geom.Vec2, low, high float64) {
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		out := q.Sub(p).Unit().Perp().Mul(-1) // the paper is on the left
		normal := vec3{float32(out.X), float32(out.Y), 0}
		n := len(s.positions)
		s.add(p, low, normal)
		s.add(q, low, normal)
		s.add(q, high, normal)
		s.add(p, high, normal)
		s.indices = append(s.indices, n, n+1, n+2, n, n+2, n+3)
	}
}
