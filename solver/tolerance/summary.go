package tolerance

import (
	"math"
	"slices"
	"sort"

	"foldwright/solver/finding"
)

// Chance is how often a check fails on the copies examined.
type Chance struct {
	Code      finding.Code
	Mechanism int
	// Share is the share of copies, and Doubt its standard error: that of a
	// count, with one copy more of either kind so that none at all is not
	// certainty. Source: Laplace's rule of succession.
	Share, Doubt float64
}

// sumUp makes figures of the copies.
func (r *Result) sumUp(t *Task, c *copies) {
	for i := range r.Measures {
		r.Measures[i].sumUp(c.values[i])
	}
	for s := range r.Shut {
		m := &r.Shut[s]
		sorted := slices.Clone(c.mismatch[s])
		sort.Float64s(sorted)
		m.Mean, _ = moments(sorted)
		m.High = quantile(sorted, 0.95)
		within := sort.Search(len(sorted), func(k int) bool { return sorted[k] > t.Give })
		m.Felt = 1 - float64(within)/float64(len(sorted))
	}
	r.Checks = chances(c.faults)
	r.Yield = r.yield(t, c)
}

func (m *Spread) sumUp(values []float64) {
	reached := make([]float64, 0, len(values))
	good := 0
	for _, v := range values {
		if math.IsNaN(v) {
			continue
		}
		reached = append(reached, v)
		if m.meets(v) {
			good++
		}
	}
	sort.Float64s(reached)
	m.Mean, m.Sampled = moments(reached)
	m.Low, m.High = quantile(reached, 0.025), quantile(reached, 0.975)
	m.Unreached, m.Good = math.NaN(), math.NaN()
	if n := float64(len(values)); n > 0 {
		m.Unreached, m.Good = 1-float64(len(reached))/n, float64(good)/n
	}
	m.Curved = curved(m.Deviation, m.Sampled, len(reached))
}

// curvedBeyond is by how much the deviation of the copies may differ from that of
// first order beyond what chance explains: what an error budget is good to.
// Common practice.
const curvedBeyond = 0.05

// curved compares the two deviations. The sampled one has a relative standard
// error of about 1/√(2n); four of them are allowed. Source: the normal law.
func curved(linear, sampled float64, n int) bool {
	switch {
	case math.IsNaN(linear) || n < 2:
		return false
	case linear == 0:
		return sampled > leastEffect
	}
	return math.Abs(sampled/linear-1) > curvedBeyond+4/math.Sqrt(2*float64(n))
}

// moments are the mean and the standard deviation of a list; NaN where there are
// too few.
func moments(list []float64) (mean, deviation float64) {
	n := float64(len(list))
	for _, v := range list {
		mean += v / n
	}
	for _, v := range list {
		deviation += (v - mean) * (v - mean)
	}
	if len(list) == 0 {
		mean = math.NaN()
	}
	if len(list) < 2 {
		return mean, math.NaN()
	}
	return mean, math.Sqrt(deviation / (n - 1))
}

// quantile of a sorted list, between its two nearest places; NaN of none.
func quantile(sorted []float64, q float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	at := q * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[i]
	}
	part := at - float64(i)
	return sorted[i]*(1-part) + sorted[i+1]*part
}

// chances counts the faults, by mechanism and then in the order of the catalogue.
func chances(list []faults) []Chance {
	count := map[fault]int{}
	for _, f := range list {
		for k := range f {
			count[k]++
		}
	}
	out := make([]Chance, 0, len(count))
	n := float64(len(list))
	for f, times := range count {
		p := (float64(times) + 1) / (n + 2)
		out = append(out, Chance{f.code, f.mechanism, float64(times) / n, math.Sqrt(p * (1 - p) / n)})
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Mechanism != out[j].Mechanism {
			return out[i].Mechanism < out[j].Mechanism
		}
		return out[i].Code.Rank() < out[j].Code.Rank()
	})
	return out
}
