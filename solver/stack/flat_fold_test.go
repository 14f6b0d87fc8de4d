package stack

import (
	"math"
	"testing"

	"foldwright/solver/geom"
)

// folded is a stack of layers that all move alike, given where they lie and how
// they hang together, with no order known.
func folded(rings [][]geom.Vec2) *stack {
	s := &stack{size: 100, free: map[[2]int]int{}}
	for i, ring := range rings {
		if geom.PolygonArea(ring) < 0 {
			ring = reversed(ring)
		}
		s.add(piece{rings: [][]geom.Vec2{ring}, lie: lie{on: -1, rank: rank{within: i}}})
	}
	s.chains = make([][]int, len(rings))
	s.comparePairs()
	return s
}

func reversed(ring []geom.Vec2) []geom.Vec2 {
	out := make([]geom.Vec2, len(ring))
	for i, p := range ring {
		out[len(ring)-1-i] = p
	}
	return out
}

// join adds the crease of two layers along a line, on whose sides they lie.
func (s *stack) join(a, b int, from, to geom.Vec2) {
	c := crease{a: a, b: b, at: from, along: to.Sub(from).Unit(), to: to.Sub(from).Norm(), through: -1}
	side := func(i int) float64 {
		return math.Copysign(1, c.along.Cross(middle(s.pieces[i].rings[0]).Sub(from)))
	}
	c.aside = [2]float64{side(a), side(b)}
	s.creases = append(s.creases, c)
}

// orders visits every order of the layers in which nothing passes a crease.
func (s *stack) orders(t *testing.T, visit func(above func(i, j int) bool)) int {
	s.holdCreases()
	if len(s.faults) > 0 {
		return 0
	}
	p, ok := s.puzzle()
	if !ok {
		t.Fatal("too large")
	}
	count := 0
	end := p.solve(math.MaxInt, func(values []bool) bool {
		count++
		if visit != nil {
			visit(func(i, j int) bool { // whether j lies above i
				k := s.free[[2]int{min(i, j), max(i, j)}]
				return values[k] == (i < j)
			})
		}
		return false
	})
	if end != exhausted {
		t.Fatalf("ended with %d", end)
	}
	return count
}

// sheetOfStamps is a sheet of rows by columns folded along all its creases into
// one square.
func sheetOfStamps(rows, columns int) *stack {
	const side = 40.0
	square := []geom.Vec2{{}, {X: side}, {X: side, Y: side}, {Y: side}}
	rings := make([][]geom.Vec2, rows*columns)
	for i := range rings {
		rings[i] = square
	}
	s := folded(rings)
	at := func(row, column int) int { return row*columns + column }
	for row := range rows {
		for column := range columns {
			// Odd stamps are turned over, so neighbours meet at alternate sides.
			if column+1 < columns {
				x := side * float64(1-column%2)
				s.join(at(row, column), at(row, column+1), geom.Vec2{X: x}, geom.Vec2{X: x, Y: side})
			}
			if row+1 < rows {
				y := side * float64(1-row%2)
				s.join(at(row, column), at(row+1, column), geom.Vec2{Y: y}, geom.Vec2{X: side, Y: y})
			}
		}
	}
	return s
}

// The number of ways to fold a strip of stamps and a sheet of them, each stamp
// told from the others: sequences A000136 (strips), A001415 (two rows) and
// A001418 (squares) of the On-Line Encyclopedia of Integer Sequences, after
// Lunnon, Multi-dimensional map-folding, Computer Journal 14 (1971); from memory.
func TestStampFoldings(t *testing.T) {
	for _, c := range []struct{ rows, columns, want int }{
		{1, 2, 2}, {1, 3, 6}, {1, 4, 16}, {1, 5, 50}, {1, 6, 144}, {1, 7, 462}, {1, 8, 1392},
		{2, 2, 8}, {2, 3, 60}, {2, 4, 320}, {2, 5, 1980},
		{3, 3, 1368},
	} {
		if got := sheetOfStamps(c.rows, c.columns).orders(t, nil); got != c.want {
			t.Errorf("%d by %d stamps fold in %d ways, want %d", c.rows, c.columns, got, c.want)
		}
	}
}

// vertex is the paper round one point, folded flat along creases that part it
// into sectors of the given angles in degrees.
func vertex(sectors ...float64) *stack {
	const radius = 50.0
	ray := func(a float64) geom.Vec2 {
		sin, cos := geom.Degrees(a).Sincos()
		return geom.Vec2{X: radius * cos, Y: radius * sin}
	}
	at, turn := make([]float64, len(sectors)+1), 1.0
	var rings [][]geom.Vec2
	for i, a := range sectors {
		at[i+1] = at[i] + turn*a
		rings = append(rings, []geom.Vec2{{}, ray(at[i]), ray(at[i+1])})
		turn = -turn
	}
	s := folded(rings)
	for i := range sectors {
		s.join((i+len(sectors)-1)%len(sectors), i, geom.Vec2{}, ray(at[i]))
	}
	return s
}

// Ways to fold the paper round a point. A ring of 2n equal sectors folds in 2n
// ways for each closed meander of 2n crossings, of which there are 2, 8, 42 (A005315
// of the On-Line Encyclopedia of Integer Sequences, from memory). Of four sectors
// with one least among them each way is one of 2ⁿ = 4 assignments of mountains
// and valleys (Hull, Counting mountain-valley assignments for flat folds, Ars
// Combinatoria 67 (2003), from memory).
func TestSingleVertex(t *testing.T) {
	for _, c := range []struct {
		name    string
		sectors []float64
		want    int
	}{
		{"four equal", []float64{90, 90, 90, 90}, 2 * 4},
		{"six equal", []float64{60, 60, 60, 60, 60, 60}, 8 * 6},
		{"eight equal", []float64{45, 45, 45, 45, 45, 45, 45, 45}, 42 * 8},
		{"one least", []float64{60, 80, 120, 100}, 4},
		{"one least, the other way", []float64{100, 60, 80, 120}, 4},
	} {
		s := vertex(c.sectors...)
		count := s.orders(t, func(above func(i, j int) bool) {
			// Maekawa and Justin: mountains and valleys differ by two. The
			// crease between sectors i and i+1 is a valley when the next lies on
			// the face that is up, and every other sector is face down.
			mountains, valleys := 0, 0
			for i := range c.sectors {
				if above(i, (i+1)%len(c.sectors)) == (i%2 == 0) {
					valleys++
				} else {
					mountains++
				}
			}
			if d := mountains - valleys; d != 2 && d != -2 {
				t.Errorf("%s: %d mountains and %d valleys", c.name, mountains, valleys)
			}
		})
		if count != c.want {
			t.Errorf("%s: folds in %d ways, want %d", c.name, count, c.want)
		}
	}
}

// A layer that runs across a crease lies on one side of both layers joined
// there: of the six orders of three layers two have it between (the
// taco-tortilla condition).
func TestLayerAcrossACrease(t *testing.T) {
	square := func(x0, x1 float64) []geom.Vec2 {
		return []geom.Vec2{{X: x0}, {X: x1}, {X: x1, Y: 30}, {X: x0, Y: 30}}
	}
	s := folded([][]geom.Vec2{square(0, 40), square(0, 40), square(20, 60)})
	s.join(0, 1, geom.Vec2{X: 40}, geom.Vec2{X: 40, Y: 30})
	if got := s.orders(t, nil); got != 4 {
		t.Errorf("%d orders, want 4", got)
	}
	// One that only reaches to the crease may lie between them.
	s = folded([][]geom.Vec2{square(0, 40), square(0, 40), square(20, 40)})
	s.join(0, 1, geom.Vec2{X: 40}, geom.Vec2{X: 40, Y: 30})
	if got := s.orders(t, nil); got != 6 {
		t.Errorf("%d orders, want 6", got)
	}
}

// A sheet of stamps in the order of its making breaks its creases, and another
// order is found. The order found keeps every condition.
func TestSearchFindsAnOrder(t *testing.T) {
	s := sheetOfStamps(3, 3)
	s.holdCreases()
	if !s.broken {
		t.Fatal("nine stamps in their order fold flat")
	}
	s.searchOrder()
	if len(s.faults) > 0 {
		t.Fatalf("%+v", s.faults)
	}
	for i := range s.conditions {
		if !s.keeps(&s.conditions[i]) {
			t.Errorf("condition %d is broken", i)
		}
	}
	if pile := s.pile(geom.Vec2{X: 20, Y: 20}); len(pile) != 9 {
		t.Errorf("pile of %v", pile)
	}
}

// What is too large to search is left undecided and not guessed.
func TestTooLargeToSearch(t *testing.T) {
	s := sheetOfStamps(6, 6) // 630 pairs
	s.holdCreases()
	s.searchOrder()
	if len(s.faults) != 1 || s.faults[0].Kind != NotDecided || len(s.faults[0].IDs) == 0 {
		t.Errorf("%+v", s.faults)
	}
}

// A search that runs out of its budget says so, wherever that happens.
func TestSearchGivesUp(t *testing.T) {
	s := sheetOfStamps(3, 3)
	s.holdCreases()
	p, ok := s.puzzle()
	if !ok {
		t.Fatal("too large")
	}
	for budget := 1; budget < 2000; budget += 37 {
		if end := p.solve(budget, func([]bool) bool { return false }); end != gaveUp {
			t.Fatalf("with %d: ended with %d", budget, end)
		}
	}
}
