package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// awkward draws columns for nonNegative, as stepWithin hands them over or worse:
// of lengths far apart, repeated, nearly repeated, opposed, sums of others, and
// with last members far below or above the rest. Where all are far below, u is
// large, and what rounding leaves of a member that should be nothing is more than
// any fixed smallness.
func awkward(draw *rand.Rand, n, m int) [][]float64 {
	columns := make([][]float64, m)
	far := math.Pow10(-draw.IntN(8))
	for j := range columns {
		column := make([]float64, n+1)
		for i := range column {
			column[i] = float64(draw.IntN(9) - 4)
		}
		if j > 0 {
			other, another := columns[draw.IntN(j)], columns[draw.IntN(j)]
			for i := range column {
				switch draw.IntN(2) * draw.IntN(7) {
				case 1:
					column[i] = other[i]
				case 2:
					column[i] = -other[i]
				case 3:
					column[i] = other[i] * (1 + 1e-11*draw.NormFloat64())
				case 4:
					column[i] = other[i] + another[i]
				}
			}
			if draw.IntN(4) == 0 {
				copy(column, other)
				column[draw.IntN(n+1)] *= 1 + 1e-13*draw.NormFloat64()
			}
		}
		if draw.IntN(3) == 0 {
			column[n] *= math.Pow10(draw.IntN(25) - 12)
		}
		column[n] *= far
		column[0] += 1e-3 // so that none is empty
		columns[j] = column
	}
	return columns
}

// What is found satisfies the conditions of Kuhn and Tucker, which make it the
// least (Lawson and Hanson, theorem 23.4, from memory): u is not negative, and the
// distance falls along no column, nor changes along those in use. It is asked at
// most passesPerColumn times for each column whether to stop, whatever the
// columns.
func TestNonNegative(t *testing.T) {
	found, failed, several := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		n, m := rapid.IntRange(1, 12).Draw(t, "n"), rapid.IntRange(1, 60).Draw(t, "m")
		columns := awkward(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)), n, m)
		asked := 0
		u, left, ok := nonNegative(columns, n, func() bool { asked++; return false })
		if asked > passesPerColumn*m {
			t.Fatalf("asked %d times for %d columns", asked, m)
		}
		if !allFinite(append([]float64{left}, u...)) {
			t.Fatalf("u %v, left %g", u, left)
		}
		if !ok {
			failed++
			return
		}
		found++
		rest := make([]float64, n+1)
		rest[n] = 1
		used := 0
		size := 1.0 // of what is summed
		for j, column := range columns {
			if u[j] < 0 {
				t.Fatalf("u[%d] is %g", j, u[j])
			}
			if u[j] > 0 {
				used++
			}
			for i, e := range column {
				rest[i] -= u[j] * e
				size = max(size, math.Abs(u[j]*e))
			}
		}
		if used > 1 {
			several++
		}
		for j, column := range columns {
			w := dot(column, rest) / math.Sqrt(dot(column, column))
			if w > 1e-9*size || u[j] > 0 && w < -1e-9*size {
				t.Fatalf("slope %g along column %d, u %g, of size %g", w, j, u[j], size)
			}
		}
	})
	t.Logf("%d found, %d of several columns, %d not settled", found, several, failed)
	if several < 20 || failed > found/20 {
		t.Errorf("%d found, %d of several columns, %d not settled: the test shows little", found, several, failed)
	}
}

// A number held between two equal bounds is pressed from both sides, and a third
// condition then has a share of exactly nothing when it comes in. How far to go
// towards that was once 0/0, and the search went on without end.
func TestNonNegativeHeld(t *testing.T) {
	columns := [][]float64{
		{0, -1, 6.312491098993183e-09},
		{0, 1, 5.442802313827648e-09},
		{-0.8199509663880852, -0.5724337627352577, 2.089890757579511e-09},
	}
	asked := 0
	u, left, ok := nonNegative(columns, 2, func() bool { asked++; return false })
	if asked > passesPerColumn*len(columns) || !allFinite(append(u, left)) {
		t.Errorf("u %v, left %g, settled %t, after %d passes", u, left, ok, asked)
	}
}

// Work that is told to stop stops, and has nothing to show.
func TestNonNegativeStops(t *testing.T) {
	columns := [][]float64{{1, 0, 0.5}, {0, 1, 0.5}, {-1, 1, 0.2}}
	if _, _, ok := nonNegative(columns, 2, never); !ok {
		t.Fatal("nothing found though it was not stopped")
	}
	for after := range 2 {
		asked := 0
		stop := func() bool { asked++; return asked > after }
		if u, _, ok := nonNegative(columns, 2, stop); ok || u != nil || asked != after+1 {
			t.Errorf("told to stop when asked the %d. time, it asked %d times and gave %v", after+1, asked, u)
		}
	}
}

// Source: scipy.optimize.nnls (Debian python3-scipy 1.10, the program of Lawson and
// Hanson) on the same matrices: the least distance agrees.
func TestNonNegativeAgainstScipy(t *testing.T) {
	draw := rand.New(rand.NewPCG(23, 3))
	type program struct {
		Columns [][]float64 `json:"columns"`
	}
	programs := make([]program, 300)
	for i := range programs {
		programs[i].Columns = awkward(draw, 1+draw.IntN(12), 1+draw.IntN(60))
	}
	var want []*float64
	askPython(t, "testdata/non_negative.py", programs, &want)
	compared := 0
	for i := range programs {
		columns := programs[i].Columns
		n := len(columns[0]) - 1
		u, _, ok := nonNegative(columns, n, never)
		if !ok || want[i] == nil {
			continue
		}
		rest := make([]float64, n+1)
		rest[n] = 1
		for j, column := range columns {
			for k, e := range column {
				rest[k] -= u[j] * e
			}
		}
		compared++
		if got := math.Sqrt(dot(rest, rest)); math.Abs(got-*want[i]) > 1e-6 {
			t.Errorf("program %d: distance %.12g, scipy %.12g", i, got, *want[i])
		}
	}
	if compared < 270 {
		t.Errorf("compared %d of %d: the test shows little", compared, len(programs))
	}
}
