package tolerance

import (
	"math"
	"math/rand/v2"
)

// Yield is how many copies of a run are good: within every limit and, where some
// are examined, without a failed check.
type Yield struct {
	// Wanted is the share asked for, Good the share of the copies drawn.
	Wanted, Good float64
	// AllGood is the chance that every one of the copies wanted is good, and
	// Make how many to make to have them with a chance of 95 in 100; 0 where
	// no number would do.
	AllGood float64
	Make    int
	// Factor is by how much all half-widths may grow together, or must shrink,
	// for the share wanted, to first order; NaN where no factor would do, and
	// +Inf where any does.
	Factor float64
}

// Allowance is the half-width a cause may have for the share wanted, to first
// order: with all causes growing or shrinking together, and alone with the
// others as they are (0 where those spoil too many already).
type Allowance struct{ Together, Alone float64 }

// makeChance is the chance with which a run has its good copies. Common
// practice.
const makeChance = 0.95

func (r *Result) yield(t *Task, c *copies) Yield {
	y := Yield{Wanted: t.Yield, Good: math.NaN(), AllGood: math.NaN(), Factor: math.NaN()}
	if t.Samples > 0 {
		y.Good = r.good(t.Samples, c)
		y.AllGood = math.Pow(y.Good, float64(t.Copies))
		y.Make = toMake(y.Good, t.Copies)
	}
	return y
}

// good is the share of copies within the limits, times the share of those of
// them that were examined with no check failed: the checks are run on some alone,
// and the others fail them as often.
func (r *Result) good(samples int, c *copies) float64 {
	within, examined, sound := 0, 0, 0
	for n := range samples {
		if !r.within(c, n) {
			continue
		}
		within++
		if n < len(c.faults) {
			examined++
			if len(c.faults[n]) == 0 {
				sound++
			}
		}
	}
	share := float64(within) / float64(samples)
	if examined > 0 {
		share *= float64(sound) / float64(examined)
	}
	return share
}

func (r *Result) within(c *copies, n int) bool {
	for i := range r.Measures {
		if m := &r.Measures[i]; m.limited() && !m.meets(c.values[i][n]) {
			return false
		}
	}
	return true
}

func (g *Goal) limited() bool { return !math.IsInf(g.AtLeast, -1) || !math.IsInf(g.AtMost, 1) }

// mostToMake is how large a run is looked at.
const mostToMake = 1_000_000

// toMake is the least number of which, each good with the chance p, at least
// `copies` are good with makeChance. It goes through the binomial law by the
// number of bad ones: P(n good among m) summed over m, which is the negative
// binomial law.
func toMake(p float64, copies int) int {
	if p <= 0 || copies <= 0 {
		return 0
	}
	// In logarithms, as p to the power of a long run is too small to write.
	log := float64(copies) * math.Log(p)
	total := math.Exp(log)
	for bad := 1; total < makeChance; bad++ {
		if copies+bad > mostToMake {
			return 0
		}
		log += math.Log(float64(copies+bad-1)) - math.Log(float64(bad)) + math.Log1p(-p)
		total += math.Exp(log)
		if total >= makeChance {
			return copies + bad
		}
	}
	return copies
}

// allowances seeks the half-widths that give the share wanted, and the factor of
// all together, on copies that follow first order.
func (r *Result) allowances(t *Task) ([]Allowance, error) {
	out := make([]Allowance, len(r.Causes))
	model := newLinearCopies(r, t)
	if t.stopped() {
		return nil, ErrStopped
	}
	r.Yield.Factor = model.growth(t.Yield, func(i, n int, factor float64) float64 { return factor * model.total[i][n] })
	for k := range out {
		if t.stopped() {
			return nil, ErrStopped
		}
		half := r.Causes[k].Half
		out[k].Together = half * r.Yield.Factor // NaN and infinity carry over
		out[k].Alone = half * model.growth(t.Yield, func(i, n int, factor float64) float64 {
			return model.total[i][n] + (factor-1)*model.part(i, k, n)
		})
		if math.IsNaN(out[k].Alone) {
			out[k].Alone = 0
		}
	}
	return out, nil
}

// linearCopies are copies whose measures follow their rates.
type linearCopies struct {
	limited []*Spread
	draws   [][]float64 // by cause, then by copy
	halves  []float64
	total   [][]float64 // by limited measure, then by copy: how far off it is
}

// linearDraws is how many such copies are drawn: the share is then good to half
// a percent.
const linearDraws = 10_000

func newLinearCopies(r *Result, t *Task) *linearCopies {
	c := &linearCopies{}
	for i := range r.Measures {
		if m := &r.Measures[i]; m.limited() && !math.IsNaN(m.Deviation) && !math.IsNaN(m.Nominal) {
			c.limited = append(c.limited, m)
		}
	}
	if len(c.limited) == 0 {
		return c
	}
	c.draws, c.halves = grid(len(r.Causes), linearDraws), make([]float64, len(r.Causes))
	random := rand.New(rand.NewPCG(t.Seed, 1))
	for n := range linearDraws {
		if t.stopped() {
			return c
		}
		for k := range c.draws {
			c.draws[k][n] = t.Law.draw(random)
		}
	}
	for k := range c.halves {
		c.halves[k] = r.Causes[k].Half
	}
	c.total = grid(len(c.limited), linearDraws)
	for i := range c.limited {
		for k := range c.draws {
			if t.stopped() {
				return c
			}
			for n := range linearDraws {
				c.total[i][n] += c.part(i, k, n)
			}
		}
	}
	return c
}

// part is how far cause k puts limited measure i of copy n off.
func (c *linearCopies) part(i, k, n int) float64 {
	return c.limited[i].Rates[k] * c.halves[k] * c.draws[k][n]
}

// mostGrowth is the greatest factor looked for.
const mostGrowth = 1e3

// growth is the greatest factor at which the share of good copies is the one
// wanted; `off` tells how far measure i of copy n is then off. Limits are
// intervals, so the share falls as the factor grows wherever the nominal values
// are within them.
func (c *linearCopies) growth(wanted float64, off func(i, n int, factor float64) float64) float64 {
	if len(c.limited) == 0 {
		return math.Inf(1)
	}
	enough := func(factor float64) bool {
		good := 0
		for n := range linearDraws {
			all := true
			for i, m := range c.limited {
				all = all && m.meets(m.Nominal+off(i, n, factor))
			}
			if all {
				good++
			}
		}
		return float64(good) >= wanted*linearDraws
	}
	if !enough(0) {
		return math.NaN()
	}
	if enough(mostGrowth) {
		return math.Inf(1)
	}
	low, high := 0.0, 1.0
	for high < mostGrowth && enough(high) {
		low, high = high, min(2*high, mostGrowth)
	}
	for range 20 {
		if mid := (low + high) / 2; enough(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}
