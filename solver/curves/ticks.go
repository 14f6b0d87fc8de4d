package curves

import (
	"math"
	"strconv"
)

// scale is a range of values laid along an axis, with its ticks.
type scale struct {
	low, high float64
	step      float64
	decimals  int
}

// angleSteps are the steps people divide angles by; finer ones go by tens.
var angleSteps = []float64{1, 2, 5, 10, 15, 30, 45, 90, 180, 360}

// newScale covers the values from low to high with a round step, about the
// given number of ticks. The ends are ticks when wide.
func newScale(low, high float64, ticks int, unit string, wide bool) scale {
	switch {
	case !finite(low): // no value
		low, high = 0, 1
	case low == high:
		half := max(math.Abs(low)*0.1, 1)
		low, high = low-half, low+half
	}
	rough := (high - low) / float64(ticks)
	s := scale{low: low, high: high, step: roundStep(rough)}
	if unit == degree && rough > angleSteps[0]/2 {
		for _, step := range angleSteps {
			if s.step = step; step >= rough*0.999 {
				break
			}
		}
	}
	s.decimals = max(0, -int(math.Floor(math.Log10(s.step)*(1+1e-12)+1e-9)))
	if wide {
		s.low = s.step * math.Floor(low/s.step+nearTick)
		s.high = s.step * math.Ceil(high/s.step-nearTick)
	}
	return s
}

// nearTick is the fraction of a step within which a value is on a tick:
// rounding of values that are meant to be there.
const nearTick = 1e-6

// roundStep is the least of 1, 2 and 5 times a power of ten that is no less.
func roundStep(rough float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(rough)))
	for _, k := range [...]float64{1, 2, 5} {
		if k*power >= rough*0.999 {
			return k * power
		}
	}
	return 10 * power
}

// ticks lists the ticks in the range.
func (s *scale) ticks() []float64 {
	var out []float64
	first := math.Ceil(s.low/s.step - nearTick)
	for k := first; k <= s.high/s.step+nearTick; k++ {
		out = append(out, k*s.step+0)
	}
	return out
}

func (s *scale) label(v float64) string { return strconv.FormatFloat(v, 'f', s.decimals, 64) }

// of is where a value is in the range, 0 to 1.
func (s *scale) of(v float64) float64 { return (v - s.low) / (s.high - s.low) }
