package fit

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Estimate is what the measurements of a mock-up tell of the numbers, by least
// squares weighted with the stated uncertainties.
type Estimate struct {
	// ChiSquare is the sum of the squares of the residuals in their
	// uncertainties; with right uncertainties it is about Freedom, the number of
	// measurements less that of what they determine.
	ChiSquare float64
	Freedom   int
	Rank      int
	// Numbers are in the order of the solution's.
	Numbers []Estimated
	// Covariance is that of the numbers as far as they are determined, in their
	// units, by the stated uncertainties: (JᵀWJ)⁻¹, not scaled with the misfit.
	// Where the uncertainties are only known up to a factor it is to be
	// multiplied by ChiSquare/Freedom.
	Covariance [][]float64
	Residuals  []Residual
}

// Estimated is what is known of one number.
type Estimated struct {
	// Determined is whether the measurements tell the number. If not, it is as
	// near to the present value as they let it.
	Determined  bool
	Uncertainty float64 // standard; 0 where it is not determined
}

// Residual is one measurement against the fit.
type Residual struct {
	Value float64 // measured less fitted
	// Leverage is how much of its own value a fit takes over, 0 to 1.
	Leverage float64
	// Studentised is the residual in its own standard uncertainty, normal with
	// mean 0 and deviation 1 while all is as stated; 0 where the measurement
	// alone determines something and so cannot be judged.
	Studentised float64
	// Outlier is whether it is too far off at OutlierLevel from the fit without
	// it and the other outliers.
	Outlier bool
	// WithoutIt is how far it is from what the others say it should be; where
	// there are outliers, those that are none.
	WithoutIt float64
}

// OutlierLevel is the chance that one or more of good measurements are called
// outliers: each is tested at this, divided by how many they are (Bonferroni).
// The test is that of studentised residuals with known uncertainties (W. Baarda,
// A testing procedure for use in geodetic networks, 1968, from memory).
const OutlierLevel = 0.05

// leastSingular is the singular value, as a fraction of the largest, below which
// a direction counts as not determined: measurements in millimetres tell such a
// number to no better than kilometres.
const leastSingular = 1e-8

// estimate works out what measurements tell at the least squares point.
func (p *problem) estimate(q *point) *Estimate {
	l := p.linearAt(q)
	rest := p.residualsAt(q)
	e := &Estimate{Rank: l.rank, Freedom: len(rest) - l.rank, ChiSquare: dot(rest, rest)}
	p.estimateNumbers(e, l)
	e.Residuals = l.residuals(rest)
	p.nameOutliers(e, q)
	for i := range e.Residuals {
		g := &p.goals[i]
		unit := g.tol / g.root / g.reading.Measure.Scale
		e.Residuals[i].Value *= unit
		e.Residuals[i].WithoutIt *= unit
	}
	return e
}

// residualsAt are measured less fitted, in uncertainties.
func (p *problem) residualsAt(q *point) []float64 { return scaled(q.rest[:len(p.goals)], -1) }

// linearAt is the problem by its slopes at a point.
func (p *problem) linearAt(q *point) *linear {
	if len(p.space.free) == 0 {
		return &linear{rows: len(p.goals)} // the conditions leave nothing to find
	}
	j := mat.NewDense(len(p.goals), len(p.space.free), nil)
	for i := range p.goals {
		for k, n := range p.space.free {
			j.Set(i, k, q.slopes[i][k]*p.numbers[n].scale)
		}
	}
	return newLinear(j)
}

// linear is a linear least squares problem taken apart.
type linear struct {
	u, v  mat.Dense
	sigma []float64
	rank  int
	rows  int
}

func newLinear(j *mat.Dense) *linear {
	var svd mat.SVD
	l := &linear{}
	l.rows, _ = j.Dims()
	if !svd.Factorize(j, mat.SVDFull) {
		return l // only of what is not finite, which slopes are
	}
	svd.UTo(&l.u)
	svd.VTo(&l.v)
	l.sigma = svd.Values(nil)
	for _, s := range l.sigma {
		if s > leastSingular*l.sigma[0] {
			l.rank++
		}
	}
	return l
}

func (p *problem) estimateNumbers(e *Estimate, l *linear) {
	free := len(p.space.free)
	// factor has the numbers by the singular directions.
	factor := make([][]float64, len(p.numbers))
	e.Numbers = make([]Estimated, len(p.numbers))
	for i := range p.numbers {
		along := make([]float64, free)
		open := 0.0
		for d := range free {
			for k, n := range p.space.free {
				along[d] += p.space.spread[i][k] * p.numbers[n].scale * l.v.At(k, d)
			}
			along[d] /= p.numbers[i].scale
			if d >= l.rank {
				open += along[d] * along[d]
			} else {
				along[d] /= l.sigma[d]
			}
		}
		factor[i] = scaled(along[:l.rank], p.numbers[i].scale/p.numbers[i].per)
		e.Numbers[i].Determined = open < undetermined*undetermined
		if !e.Numbers[i].Determined {
			factor[i] = make([]float64, l.rank)
		}
		e.Numbers[i].Uncertainty = math.Sqrt(dot(factor[i], factor[i]))
	}
	e.Covariance = make([][]float64, len(p.numbers))
	for i := range factor {
		e.Covariance[i] = make([]float64, len(factor))
		for k := range factor {
			e.Covariance[i][k] = dot(factor[i], factor[k])
		}
	}
}

// undetermined is the part of a number that may lie in directions the
// measurements leave open, by rounding.
const undetermined = 1e-6

// leastSpare is the part of a measurement not fitted below which it determines
// something alone.
const leastSpare = 1e-9

// residuals judges each residual, given in its uncertainty.
func (l *linear) residuals(rest []float64) []Residual {
	out := make([]Residual, l.rows)
	for i := range out {
		leverage := 0.0
		for d := range l.rank {
			leverage += l.u.At(i, d) * l.u.At(i, d)
		}
		out[i] = Residual{Value: rest[i], Leverage: leverage}
		if spare := 1 - leverage; spare > leastSpare {
			out[i].Studentised = rest[i] / math.Sqrt(spare)
			out[i].WithoutIt = rest[i] / spare
		}
	}
	return out
}
