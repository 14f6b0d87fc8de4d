package fit

import (
	"math"
	"slices"
)

// Quadratic programs, small and dense:
//
//	least ½sᵀHs + gᵀs   with   C·s ≥ b
//
// H = L·Lᵀ is positive definite. In z = Lᵀ(s + H⁻¹g) this is the point nearest to
// the origin with G·z ≥ h, G = C·L⁻ᵀ, h = b + C·H⁻¹g. It comes from the least
// squares problem in u ≥ 0 of [Gᵀ; hᵀ]·u = [0; 1] (Lawson and Hanson, chapter 23,
// LDP and NNLS, from memory): with φ = 1 - hᵀu, z = Gᵀu/φ and the multipliers are
// u/φ; φ = 0 tells that there is no such point.
//
// The rows of G are brought to length 1 and z to units of how far away the
// farthest condition is that the origin lacks. φ is then the same whatever the
// units and weights of the goals, which range over many powers of ten.

// stepWithin solves the program. rows and bounds are C and b. It fails where
// they leave nothing, H is not positive definite, the numbers are too far apart
// in size to tell, or stop says so.
func stepWithin(h [][]float64, g []float64, rows [][]float64, bounds []float64, stop func() bool) (s, multipliers []float64, ok bool) {
	n := len(g)
	if !cholesky(h) {
		return nil, nil, false
	}
	s = make([]float64, n)
	for i := range s {
		s[i] = -g[i]
	}
	forward(h, s)
	backward(h, s)
	multipliers = make([]float64, len(rows))
	var columns [][]float64
	var which []int
	scales := make([]float64, len(rows))
	farthest := 0.0
	for j, row := range rows {
		column := append(append(make([]float64, 0, n+1), row...), 0)
		forward(h, column[:n])
		norm := math.Sqrt(dot(column[:n], column[:n]))
		if norm == 0 {
			continue // nothing here changes it
		}
		column[n] = bounds[j] - dot(row, s)
		for i := range column {
			column[i] /= norm
		}
		if !allFinite(column) {
			return nil, nil, false
		}
		farthest = max(farthest, column[n])
		scales[j] = norm
		columns, which = append(columns, column), append(which, j)
	}
	if farthest == 0 {
		return s, multipliers, allFinite(s)
	}
	_, exponent := math.Frexp(farthest)
	unit := math.Ldexp(1, exponent) // a power of two, so that nothing is rounded
	for _, column := range columns {
		column[n] /= unit
	}
	u, left, ok := nonNegative(columns, n, stop)
	if !ok || !(left >= leastLeft) {
		return nil, nil, false
	}
	z := make([]float64, n)
	for k, column := range columns {
		if u[k] == 0 {
			continue
		}
		pressed := u[k] / left * unit
		multipliers[which[k]] = pressed / scales[which[k]]
		for i := range z {
			z[i] += pressed * column[i]
		}
	}
	backward(h, z)
	for i := range s {
		s[i] += z[i]
	}
	return s, multipliers, allFinite(s) && allFinite(multipliers)
}

// leastLeft is the φ below which there is no point. φ is about the inverse
// square of how far away the nearest one is, in units of the farthest condition:
// conditions that meet only ten million times as far off contradict each other
// but for rounding.
const leastLeft = 1e-14

func allFinite(list []float64) bool {
	return !slices.ContainsFunc(list, func(v float64) bool { return !finite(v) })
}

// leastSquares fits the last unit vector by the chosen columns, by orthogonal
// columns made twice over (modified Gram-Schmidt); false where one repeats
// others.
func leastSquares(columns [][]float64, chosen []int, n int) ([]float64, bool) {
	m := len(chosen)
	q := make([][]float64, m)
	r := make([][]float64, m)
	for k, j := range chosen {
		v := append([]float64{}, columns[j]...)
		before := math.Sqrt(dot(v, v))
		r[k] = make([]float64, m)
		for range 2 {
			for i := range k {
				c := dot(q[i], v)
				r[k][i] += c
				for t := range v {
					v[t] -= c * q[i][t]
				}
			}
		}
		norm := math.Sqrt(dot(v, v))
		if !(norm > 1e-11*before) {
			return nil, false
		}
		r[k][k] = norm
		for t := range v {
			v[t] /= norm
		}
		q[k] = v
	}
	out := make([]float64, m)
	for k := m - 1; k >= 0; k-- {
		out[k] = q[k][n]
		for i := k + 1; i < m; i++ {
			out[k] -= r[i][k] * out[i]
		}
		out[k] /= r[k][k]
	}
	return out, true
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// cholesky puts L in the lower half of h; false where h is not positive
// definite.
func cholesky(h [][]float64) bool {
	for i := range h {
		for j := 0; j <= i; j++ {
			sum := h[i][j] - dot(h[i][:j], h[j][:j])
			if i == j {
				if !(sum > 0) {
					return false
				}
				h[i][i] = math.Sqrt(sum)
			} else {
				h[i][j] = sum / h[j][j]
			}
		}
	}
	return true
}

// forward solves L·x = b in place.
func forward(l [][]float64, b []float64) {
	for i := range b {
		b[i] = (b[i] - dot(l[i][:i], b[:i])) / l[i][i]
	}
}

// backward solves Lᵀ·x = b in place.
func backward(l [][]float64, b []float64) {
	for i := len(b) - 1; i >= 0; i-- {
		for k := i + 1; k < len(b); k++ {
			b[i] -= l[k][i] * b[k]
		}
		b[i] /= l[i][i]
	}
}
