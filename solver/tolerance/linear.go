package tolerance

import (
	"math"
	"sort"

	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// Combine is the standard uncertainty of a sum of independent effects: the root
// of the sum of (rate·deviation)². Source: JCGM 100:2008, eq. (10).
func Combine(rates, deviations []float64) float64 {
	sum := 0.0
	for k := range rates {
		sum += rates[k] * rates[k] * deviations[k] * deviations[k]
	}
	return math.Sqrt(sum)
}

// spreadLinearly fills in the nominal values, the rates and the deviations to
// first order.
func (r *Result) spreadLinearly(t *Task, a *kinematics.Assembly) error {
	directions := make([]measure.Direction, len(r.Causes))
	for k := range r.Causes {
		directions[k] = r.Causes[k].Direction
	}
	aim, err := measure.NewAim(a, directions)
	if err != nil {
		return err
	}
	nominal, rates := make([]float64, len(t.Goals)), make([][]float64, len(t.Goals))
	for i := range rates {
		rates[i] = make([]float64, len(directions))
	}
	list := make([]measure.Reading, len(t.Goals))
	for i := range t.Goals {
		list[i] = t.Goals[i].Reading
	}
	measure.NewReadings(a, list).Gradients(nominal, rates, aim)
	for i := range rates {
		for k := range rates[i] {
			if math.Abs(rates[i][k]*r.Causes[k].Half) < leastEffect {
				rates[i][k] = 0
			}
		}
	}
	deviations := r.deviations(t.Law)
	for i, g := range t.Goals {
		r.Measures = append(r.Measures, Spread{
			Goal: g, Nominal: nominal[i], Rates: rates[i], Deviation: Combine(rates[i], deviations),
		})
	}
	return nil
}

// leastEffect is the effect of an error, mm or radians, that is rounding: of the
// sine of 180 degrees at the far end of a large spread, a thousand times over.
const leastEffect = 1e-9

func (r *Result) deviations(law Law) []float64 {
	out := make([]float64, len(r.Causes))
	for k := range r.Causes {
		out[k] = r.Causes[k].Half * law.Deviation()
	}
	return out
}

// rank sorts the causes by their share of the variance. It fails only by
// ErrStopped.
func (r *Result) rank(t *Task) error {
	deviations := r.deviations(t.Law)
	allowed, err := r.allowances(t)
	if err != nil {
		return err
	}
	r.Ranked = make([]Rank, len(r.Causes))
	for k := range r.Causes {
		rank := Rank{Cause: k, Of: make([]float64, len(r.Measures)), Allowed: allowed[k]}
		spread := 0
		for i := range r.Measures {
			m := &r.Measures[i]
			if !(m.Deviation > 0) {
				continue
			}
			part := m.Rates[k] * deviations[k] / m.Deviation
			rank.Of[i] = part * part
			rank.Share += rank.Of[i]
			spread++
		}
		if spread > 0 {
			rank.Share /= float64(spread)
		}
		r.Ranked[k] = rank
	}
	sort.SliceStable(r.Ranked, func(i, j int) bool { return r.Ranked[i].Share > r.Ranked[j].Share })
	return nil
}
