package stack

import (
	"cmp"
	"slices"

	"foldwright/solver/geom"
)

// rowCount is how many lines across the page the thickness is found along where
// there are too many outlines for the exact map: one per millimetre of a page of
// 200.
const rowCount = 200

// rows finds the thickness along lines across the page. What it gives are
// rectangles as high as the lines are apart, exact along each line.
func (s *stack) rows() []Region {
	box := geom.EmptyBox()
	for i := range s.pieces {
		box = box.Union(s.pieces[i].box)
	}
	step := (box.Max.Y - box.Min.Y) / rowCount
	byPile := map[[2]int]int{}
	var out []Region
	for k := range rowCount {
		if s.halted() {
			return nil
		}
		low := box.Min.Y + float64(k)*step
		for _, r := range s.row(low + step/2) {
			i, ok := byPile[r.pile]
			if !ok {
				i = len(out)
				byPile[r.pile] = i
				out = append(out, Region{Pile: s.pileOf(r.pile[0], r.pile[1])})
			}
			out[i].Area = append(out[i].Area, geom.Rect(r.from, low, r.to, low+step)...)
		}
	}
	return out
}

// stretch is a part of a line with one pile: layers and films.
type stretch struct {
	from, to float64
	pile     [2]int
}

// row finds the pile along the line at a height.
func (s *stack) row(y float64) []stretch {
	type end struct {
		x     float64
		sort  int // 0 paper, 1 glue
		enter int
	}
	var ends []end
	add := func(rings [][]geom.Vec2, sort int) {
		var at []float64
		for _, ring := range rings {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				if (p.Y > y) != (q.Y > y) {
					at = append(at, p.X+(q.X-p.X)*(y-p.Y)/(q.Y-p.Y))
				}
			}
		}
		slices.Sort(at)
		for k, x := range at {
			ends = append(ends, end{x, sort, 1 - 2*(k%2)})
		}
	}
	for i := range s.pieces {
		add(s.pieces[i].rings, 0)
	}
	for i := range s.glue {
		add(s.glue[i].rings, 1)
	}
	slices.SortStableFunc(ends, func(a, b end) int { return cmp.Compare(a.x, b.x) })
	var out []stretch
	var pile [2]int
	for k, e := range ends {
		pile[e.sort] += e.enter
		if k+1 < len(ends) && ends[k+1].x-e.x > touching*s.size && pile != [2]int{} {
			out = append(out, stretch{e.x, ends[k+1].x, pile})
		}
	}
	return out
}
