package tolerance

import "math"

// Source is the step of making in which errors come about.
type Source string

const (
	Gluing  Source = "gluing"
	Scoring Source = "scoring"
	Cutting Source = "cutting"
	Paper   Source = "paper"
)

// Sources lists them in the order they are given in.
func Sources() []Source { return []Source{Gluing, Scoring, Cutting, Paper} }

// Errors are half-widths: mm, but for Paper, which is a fraction of every length
// of a mechanism.
type Errors map[Source]float64

// DefaultErrors are of work by hand with a cutter's parts. Common practice:
// gluing by hand is good to 0.5 to 1 mm (0.25 with a jig), a cutter repeats to
// 0.1 mm, a fold forms within about half the width of its score. That paper
// grows by a tenth of a percent across the grain with a tenth more humidity is
// from memory.
func DefaultErrors() Errors {
	return Errors{Gluing: 0.5, Scoring: 0.2, Cutting: 0.1, Paper: 0.001}
}

// Law is how errors are spread within their half-widths.
type Law string

const (
	Uniform  Law = "uniform"
	Triangle Law = "triangle"
	Normal   Law = "normal"
)

// Deviation is the standard deviation of an error of half-width 1.
func (l Law) Deviation() float64 {
	switch l {
	case Triangle:
		return 1 / math.Sqrt(6)
	case Normal:
		return 0.5
	default:
		return 1 / math.Sqrt(3)
	}
}

// source draws numbers: uniform in [0, 1), and of the standard normal law.
type source interface {
	Float64() float64
	NormFloat64() float64
}

// draw gives an error of half-width 1.
func (l Law) draw(from source) float64 {
	switch l {
	case Triangle:
		return from.Float64() - from.Float64()
	case Normal:
		return from.NormFloat64() / 2
	default:
		return 2*from.Float64() - 1
	}
}
