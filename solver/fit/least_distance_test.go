package fit

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// What a quadratic program gives satisfies the conditions of Karush, Kuhn and
// Tucker, which are enough where H is positive definite: C·s ≥ b, multipliers not
// negative, none where there is room, and H·s + g = Cᵀ·multipliers. Where it finds
// nothing, the multipliers of its failure would prove it; here, that a point
// known to satisfy the conditions was not there.
func TestStepWithin(t *testing.T) {
	bound, free := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		m := rapid.IntRange(0, 14).Draw(t, "m")
		number := func(label string) float64 { return float64(rapid.IntRange(-20, 20).Draw(t, label)) / 4 }
		vector := func(label string) []float64 {
			v := make([]float64, n)
			for i := range v {
				v[i] = number(label)
			}
			return v
		}
		root := make([][]float64, n)
		for i := range root {
			root[i] = vector("root")
		}
		h, work := make([][]float64, n), make([][]float64, n)
		for i := range h {
			h[i] = make([]float64, n)
			for j := range h {
				h[i][j] = dot(root[i], root[j])
			}
			h[i][i] += 0.5
			work[i] = append([]float64{}, h[i]...)
		}
		g, known := vector("g"), vector("known")
		rows, bounds := make([][]float64, m), make([]float64, m)
		for i := range rows {
			rows[i] = vector("row")
			if i > 0 && rapid.IntRange(0, 3).Draw(t, "repeat") == 0 {
				rows[i] = append([]float64{}, rows[i-1]...)
			}
			// Mostly so that the known point satisfies it.
			bounds[i] = dot(rows[i], known) - math.Abs(number("room"))
		}
		s, multipliers, ok := stepWithin(work, g, rows, bounds, never)
		if !ok {
			t.Fatalf("nothing found, though %v satisfies the conditions", known)
		}
		for i := range rows {
			room := dot(rows[i], s) - bounds[i]
			if room < -1e-7 || multipliers[i] < 0 || multipliers[i]*room > 1e-6*(1+multipliers[i]) {
				t.Fatalf("condition %d: room %g, multiplier %g", i, room, multipliers[i])
			}
			if multipliers[i] > 0 {
				bound++
			} else {
				free++
			}
		}
		for k := range s {
			left, most := dot(h[k], s)+g[k], 1.0
			for i := range rows {
				left -= multipliers[i] * rows[i][k]
				most = max(most, math.Abs(multipliers[i]*rows[i][k]))
			}
			if math.Abs(left) > 1e-7*most {
				t.Fatalf("gradient %g left in direction %d", left, k)
			}
		}
	})
	if bound < 50 || free < 50 {
		t.Errorf("%d conditions bind, %d do not: the test shows little", bound, free)
	}
}

// Conditions nothing satisfies are told.
func TestStepWithinNothing(t *testing.T) {
	if s, _, ok := stepWithin([][]float64{{1}}, []float64{0}, [][]float64{{1}, {-1}}, []float64{1, 1}, never); ok {
		t.Errorf("s ≥ 1 and s ≤ -1 have %v", s)
	}
}
