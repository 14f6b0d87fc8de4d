package raster

import (
	"cmp"
	"math"
	"slices"

	"foldwright/solver/geom"
)

// subRows is how many rows per pixel coverage is sampled at. Sixteen leave
// steps of 1/16 in the tone of a nearly level edge, at the limit of what is
// seen.
const subRows = 16

// sweep turns rings into coverage, row by row. It keeps its memory between
// runs.
type sweep struct {
	sides    []side
	active   []int
	crossed  []crossing
	coverage []float32
}

// side is a side of a ring that crosses at least one sampled row.
type side struct {
	first, last int // sampled rows it crosses, last excluded
	x, step     float64
	turn        int8 // +1 downward
}

type crossing struct {
	x    float64
	turn int8
}

// run calls paint for every row of pixels with the coverage of the pixels from
// x0 on; those not covered at the ends are left out.
func (s *sweep) run(rings [][]geom.Vec2, rule Rule, width, height int, paint func(y, x0 int, coverage []float32)) {
	s.collect(rings, height*subRows)
	if len(s.sides) == 0 {
		return
	}
	if cap(s.coverage) < width+1 {
		s.coverage = make([]float32, width+1)
	}
	row := s.coverage[:width+1]
	s.active = s.active[:0]
	next, at := 0, s.sides[0].first
	for y := at / subRows; y < height && (next < len(s.sides) || len(s.active) > 0); y++ {
		low, high := width, 0
		for ; at < (y+1)*subRows; at++ {
			for next < len(s.sides) && s.sides[next].first <= at {
				s.active = append(s.active, next)
				next++
			}
			if len(s.active) == 0 {
				continue
			}
			s.cross(at)
			l, h := s.spans(row, rule, float64(width))
			low, high = min(low, l), max(high, h)
		}
		if low < high {
			paint(y, low, row[low:high])
			clear(row[low:high])
		}
	}
}

func (s *sweep) collect(rings [][]geom.Vec2, rows int) {
	s.sides = s.sides[:0]
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			turn := int8(1)
			if a.Y > b.Y {
				a, b, turn = b, a, -1
			}
			first := int(min(max(math.Ceil(a.Y*subRows-0.5), 0), float64(rows)))
			last := int(min(max(math.Ceil(b.Y*subRows-0.5), 0), float64(rows)))
			if first >= last {
				continue
			}
			slope := (b.X - a.X) / (b.Y - a.Y)
			y := (float64(first) + 0.5) / subRows
			s.sides = append(s.sides, side{first, last, a.X + (y-a.Y)*slope, slope / subRows, turn})
		}
	}
	slices.SortStableFunc(s.sides, func(a, b side) int { return cmp.Compare(a.first, b.first) })
}

// cross lists where the active sides cross a sampled row, from the left.
func (s *sweep) cross(at int) {
	s.crossed = s.crossed[:0]
	kept := s.active[:0]
	for _, i := range s.active {
		e := &s.sides[i]
		if e.last <= at {
			continue
		}
		kept = append(kept, i)
		s.crossed = append(s.crossed, crossing{e.x + float64(at-e.first)*e.step, e.turn})
	}
	s.active = kept
	// Few sides are active at a time, and they come nearly sorted.
	for i := 1; i < len(s.crossed); i++ {
		for j := i; j > 0 && s.crossed[j].x < s.crossed[j-1].x; j-- {
			s.crossed[j], s.crossed[j-1] = s.crossed[j-1], s.crossed[j]
		}
	}
}

// spans adds one sampled row to the coverage and tells which pixels it touched.
func (s *sweep) spans(row []float32, rule Rule, width float64) (low, high int) {
	low = len(row)
	inside := 0
	for i := 0; i+1 < len(s.crossed); i++ {
		if rule == EvenOdd {
			inside ^= 1
		} else {
			inside += int(s.crossed[i].turn)
		}
		if inside == 0 {
			continue
		}
		from, to := max(s.crossed[i].x, 0), min(s.crossed[i+1].x, width)
		if from >= to {
			continue
		}
		a, b := int(from), int(to)
		low, high = min(low, a), max(high, min(b+1, int(width)))
		if a == b {
			row[a] += float32(to-from) / subRows
			continue
		}
		row[a] += float32(float64(a+1)-from) / subRows
		for x := a + 1; x < b; x++ {
			row[x] += 1.0 / subRows
		}
		row[b] += float32(to-float64(b)) / subRows
	}
	return low, high
}
