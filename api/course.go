package api

import (
	"fmt"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// SolveOptions are the driver values to solve at: openings in degrees, or a
// sweep of one driver, and where the hand holds the others. The zero value
// sweeps the opening as far as the spread opens, without findings.
type SolveOptions struct {
	Openings []float64     // not nil: these, in this order
	Sweep    *SweepOptions // of a driver: at the one opening given, or fully open
	Drivers  []DriverSetting
	Findings bool
	// Conditioning is whether each pose tells how well its mechanisms are
	// driven.
	Conditioning bool
}

// SweepOptions are evenly spaced values of one driver, in degrees or in the
// design's units.
type SweepOptions struct {
	Driver   string // theOpening, which an empty one stands for, or an id
	From, To *float64
	Steps    *int
}

// theOpening names the opening among the drivers. No driver has this id: theirs
// have a dot.
const theOpening = "opening"

const (
	// maxSteps is a sweep of 180 degrees by quarters of a degree.
	maxSteps     = 721
	defaultSteps = 37
	minOpening   = 0.0
	maxOpening   = 180.0
)

// course is the driver values of the poses of one answer.
type course struct {
	a       *kinematics.Assembly
	opening float64 // degrees, while a driver is swept
	hand    *hand
	swept   int // driver; sweptOpening is the opening
	values  []float64
	longest string // the option that makes it long
}

const sweptOpening = -1

// course works out the driver values. The contract has been applied to what
// came over HTTP; here the rules it cannot state are checked, and those that
// keep the solver safe from any caller.
func (o *SolveOptions) course(a *kinematics.Assembly) (*course, error) {
	h, err := handOf(a, o.Drivers)
	if err != nil {
		return nil, err
	}
	c := &course{a: a, hand: h, swept: sweptOpening, longest: "openings"}
	if o.Sweep == nil && o.Openings != nil {
		c.values = o.Openings
		return c, checkOpenings(o.Openings)
	}
	sweep := o.Sweep
	if sweep == nil {
		sweep = &SweepOptions{}
	}
	c.longest = "sweep/steps"
	if sweep.Driver == "" || sweep.Driver == theOpening {
		if o.Openings != nil {
			return nil, &optionFault{"sweep", NotAllowed, "openings and a sweep of them do not go together; give one or the other"}
		}
		fully := a.Design.Spread.OpensTo.Degrees()
		scale := driverScale{unit: DriverUnitDeg, min: minOpening, max: maxOpening}
		c.values, err = sweep.values(&scale, minOpening, fully)
		return c, err
	}
	return c, c.sweepByHand(sweep, o)
}

func (c *course) sweepByHand(sweep *SweepOptions, o *SolveOptions) error {
	i := c.a.DriverIndex(sweep.Driver)
	if i < 0 {
		return &optionFault{"sweep/driver", NotAllowed, "must be one of " + theOpening + ", " + driverList(c.a, "and nothing else: this design has no drivers")}
	}
	for _, d := range o.Drivers {
		if d.ID == sweep.Driver {
			return &optionFault{driverOption(d.ID), NotAllowed, "is swept; leave it out"}
		}
	}
	c.opening = c.a.Design.Spread.OpensTo.Degrees()
	if o.Openings != nil {
		if err := checkOpenings(o.Openings); err != nil {
			return err
		}
		if len(o.Openings) > 1 {
			return &optionFault{"openings", TooMany, "only one opening while a driver is swept"}
		}
		c.opening = o.Openings[0]
	}
	c.swept = i
	scale := &c.hand.scales[i]
	var err error
	c.values, err = sweep.values(scale, scale.min, scale.max)
	return err
}

// values lists the values of a sweep, as shown.
func (o *SweepOptions) values(scale *driverScale, from, to float64) ([]float64, error) {
	steps := defaultSteps
	if o.From != nil {
		from = *o.From
	}
	if o.To != nil {
		to = *o.To
	}
	if o.Steps != nil {
		steps = *o.Steps
	}
	if steps < 2 || steps > maxSteps {
		return nil, &optionFault{"sweep/steps", OutOfRange, fmt.Sprintf("must be from 2 to %d", maxSteps)}
	}
	if err := scale.check(from, "sweep/from"); err != nil {
		return nil, err
	}
	if err := scale.check(to, "sweep/to"); err != nil {
		return nil, err
	}
	list := make([]float64, steps)
	for i := range list {
		// Weighing the ends keeps both of them exact.
		t := float64(i) / float64(steps-1)
		list[i] = from*(1-t) + to*t
	}
	return list, nil
}

func checkOpenings(list []float64) error {
	if len(list) == 0 || len(list) > maxSteps {
		return &optionFault{"openings", TooMany, fmt.Sprintf("from 1 to %d openings are allowed", maxSteps)}
	}
	for i, v := range list {
		if err := checkOpening(v, fmt.Sprintf("openings/%d", i)); err != nil {
			return err
		}
	}
	return nil
}

func checkOpening(v float64, option string) error {
	if v >= minOpening && v <= maxOpening {
		return nil
	}
	return &optionFault{option, OutOfRange, fmt.Sprintf("must be from %g to %g degrees", minOpening, maxOpening)}
}

// at is the driver values of pose k: the opening as shown, and the drive. The
// hand is a workspace, overwritten by the next call.
func (c *course) at(k int) (opening float64, drive kinematics.Drive) {
	opening = c.opening
	if c.swept == sweptOpening {
		opening = c.values[k]
	} else {
		c.hand.set(c.a, c.swept, c.values[k])
	}
	return opening, kinematics.Drive{Opening: geom.Degrees(opening), Hand: c.hand.posed}
}
