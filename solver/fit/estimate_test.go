package fit

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// Source: JCGM 100:2008 (GUM), H.3, calibration of a thermometer: b = y₁ + y₂(t -
// 20) fitted to eleven readings, data and results from memory. Printed: y₁ =
// -0.1712, s(y₁) = 0.0029, y₂ = 0.00218, s(y₂) = 0.00067, r = -0.930, s = 0.0035.
// There the spread is taken from the residuals, so that the covariance is scaled
// with χ²/freedom.
func TestThermometer(t *testing.T) {
	at := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	b := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	j := mat.NewDense(len(at), 2, nil)
	for i := range at {
		j.Set(i, 0, 1)
		j.Set(i, 1, at[i]-20)
	}
	l := newLinear(j)
	// The numbers by the singular directions, and their covariance.
	var y [2]float64
	var covariance [2][2]float64
	for d := range l.rank {
		along := 0.0
		for i := range b {
			along += l.u.At(i, d) * b[i]
		}
		for k := range y {
			y[k] += l.v.At(k, d) * along / l.sigma[d]
			for m := range y {
				covariance[k][m] += l.v.At(k, d) * l.v.At(m, d) / (l.sigma[d] * l.sigma[d])
			}
		}
	}
	rest := make([]float64, len(b))
	for i := range b {
		rest[i] = b[i] - y[0] - y[1]*(at[i]-20)
	}
	s2 := dot(rest, rest) / float64(len(b)-l.rank)
	for _, c := range []struct {
		name      string
		got, want float64
		half      float64 // of the last printed place
	}{
		{"y1", y[0], -0.1712, 0.00005},
		{"y2", y[1], 0.00218, 0.000005},
		{"s(y1)", math.Sqrt(s2 * covariance[0][0]), 0.0029, 0.00005},
		{"s(y2)", math.Sqrt(s2 * covariance[1][1]), 0.00067, 0.000005},
		{"r", covariance[0][1] / math.Sqrt(covariance[0][0]*covariance[1][1]), -0.930, 0.0005},
		{"s", math.Sqrt(s2), 0.0035, 0.00005},
	} {
		if math.Abs(c.got-c.want) > c.half {
			t.Errorf("%s is %.6g, printed %g", c.name, c.got, c.want)
		}
	}
	// Leverages add up to the rank; a reading against the fit of the others, done
	// over, is what the shortcut says.
	sum := 0.0
	for i, r := range l.residuals(rest) {
		sum += r.Leverage
		var n, sx, sy, sxx, sxy float64
		for k := range b {
			if k != i {
				x := at[k] - 20
				n, sx, sy, sxx, sxy = n+1, sx+x, sy+b[k], sxx+x*x, sxy+x*b[k]
			}
		}
		slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
		if want := b[i] - (sy-slope*sx)/n - slope*(at[i]-20); math.Abs(r.WithoutIt-want) > 1e-12 {
			t.Errorf("reading %d is %.9g off the others, want %.9g", i, r.WithoutIt, want)
		}
	}
	if math.Abs(sum-2) > 1e-12 {
		t.Errorf("leverages add up to %g", sum)
	}
}

// Measurements that do not tell a number name it: where the quay is along the
// gutter does not show in how high it stands, and of two lengths only their sum
// may.
func TestUndetermined(t *testing.T) {
	d := decode(t, `{"spread":{"page_width":130,"page_height":180},"mechanisms":[
	  {"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":80,"left":{"base_offset":30,"panel_width":50}}]}`)
	vary := []Vary{{Pointer: "/mechanisms/0/left/base_offset"}, {Pointer: "/mechanisms/0/left/panel_width"}, {Pointer: "/mechanisms/0/from"}}
	task := &Task{Design: d, Vary: vary, Mockup: true, Keep: Keep{ShutsFlat: true}}
	// Shut, the ridge is both lengths together from the gutter.
	shut := equal("height.quay.ridge@end", 0, 82)
	shut.Tolerance = 0.5
	task.Goals = []Goal{shut}
	e := solve(t, task).Estimate
	if e.Rank != 1 || e.Freedom != 0 || e.Numbers[0].Determined || e.Numbers[1].Determined || e.Numbers[2].Determined {
		t.Errorf("rank %d, freedom %d, %+v", e.Rank, e.Freedom, e.Numbers)
	}
	half := equal("height.quay.ridge@end", 120, 58)
	half.Tolerance = 0.5
	task.Goals = append(task.Goals, half)
	e = solve(t, task).Estimate
	if e.Rank != 2 || !e.Numbers[0].Determined || !e.Numbers[1].Determined || e.Numbers[2].Determined {
		t.Errorf("rank %d, %+v", e.Rank, e.Numbers)
	}
}
