package main

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// trend is a line through samples by least squares, the slope with the half
// width of its interval of 95 % confidence. Samples that hang together, as
// those of a heap do, make the interval too narrow: it is a hint, not a proof.
type trend struct{ mean, slope, halfWidth float64 }

func trendOf(x, y []float64) trend {
	intercept, slope := stat.LinearRegression(x, y, nil, false)
	mx := stat.Mean(x, nil)
	var residual, spread float64
	for i := range x {
		r := y[i] - intercept - slope*x[i]
		residual += r * r
		spread += (x[i] - mx) * (x[i] - mx)
	}
	free := float64(len(x) - 2)
	student := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: free}.Quantile(0.975)
	return trend{stat.Mean(y, nil), slope, student * math.Sqrt(residual/free/spread)}
}

// verdict calls flat what may as well not change at all.
func (t trend) verdict() string {
	switch {
	case math.Abs(t.slope) <= t.halfWidth:
		return "flat"
	case t.slope > 0:
		return "grows"
	default:
		return "shrinks"
	}
}
