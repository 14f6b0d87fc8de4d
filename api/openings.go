package api

import (
	"fmt"

	"foldwright/solver/design"
)

// SolveOptions are the openings to solve at, in degrees: a list, or a sweep.
// The zero value sweeps as far as the spread opens, without findings.
type SolveOptions struct {
	Openings []float64 // not nil: these, in this order
	From, To *float64
	Steps    *int
	Findings bool
}

const (
	// maxOpenings is a sweep of 180 degrees by quarters of a degree.
	maxOpenings     = 721
	defaultOpenings = 37
	minOpening      = 0.0
	maxOpening      = 180.0
)

// openings lists the openings in degrees. The contract has been applied to what
// came over HTTP; here the rules it cannot state are checked, and those that
// keep the solver safe from any caller.
func (o *SolveOptions) openings(d *design.Design) ([]float64, error) {
	if o.Openings != nil {
		if o.From != nil || o.To != nil || o.Steps != nil {
			return nil, &optionFault{"openings", NotAllowed, "not together with a sweep; give one or the other"}
		}
		return o.Openings, checkOpenings(o.Openings)
	}
	from, to, steps := minOpening, d.Spread.OpensTo.Degrees(), defaultOpenings
	if o.From != nil {
		from = *o.From
	}
	if o.To != nil {
		to = *o.To
	}
	if o.Steps != nil {
		steps = *o.Steps
	}
	if steps < 2 || steps > maxOpenings {
		return nil, &optionFault{"steps", OutOfRange, fmt.Sprintf("must be from 2 to %d", maxOpenings)}
	}
	list := make([]float64, steps)
	for i := range list {
		// Weighing the ends keeps both of them exact.
		t := float64(i) / float64(steps-1)
		list[i] = from*(1-t) + to*t
	}
	return list, checkOpenings(list)
}

func checkOpenings(list []float64) error {
	if len(list) == 0 || len(list) > maxOpenings {
		return &optionFault{"openings", TooMany, fmt.Sprintf("from 1 to %d openings are allowed", maxOpenings)}
	}
	for i, v := range list {
		if !(v >= minOpening && v <= maxOpening) {
			return &optionFault{fmt.Sprintf("openings/%d", i), OutOfRange,
				fmt.Sprintf("must be from %g to %g degrees", minOpening, maxOpening)}
		}
	}
	return nil
}

// optionFault is an option that is not allowed. The pointer is completed by
// whoever knows where the option came from.
type optionFault struct {
	name   string
	code   FieldErrorCode
	detail string
}

func (f *optionFault) Error() string { return f.name + ": " + f.detail }
