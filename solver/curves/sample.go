package curves

import (
	"fmt"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// degree is the unit of angles.
const degree = "deg"

const (
	MaxMeasures = 200
	MaxSamples  = 10_000
)

// OptionError is an option that cannot be used.
type OptionError struct {
	Option string
	Reason string
}

func (e *OptionError) Error() string { return "curves: " + e.Option + " " + e.Reason }

// Axis is what measures are taken against.
type Axis struct {
	ID    string // "opening", or the id of a driver
	Title string
	Unit  string
}

// Table is measures at a list of values of one thing that moves the design.
type Table struct {
	Title  string // of the design
	Axis   Axis
	At     []float64 // in the unit of the axis
	Series []Series
}

// Series is one measure at each of the places of a table, NaN where there is no
// value.
type Series struct {
	measure.Measure
	Values []float64
}

// Sample takes measures at openings, with everything moved by hand at rest.
func Sample(a *kinematics.Assembly, openings []geom.Angle, wanted []measure.Measure) (*Table, error) {
	drives := make([]kinematics.Drive, len(openings))
	at := make([]float64, len(openings))
	for i, t := range openings {
		drives[i].Opening = t
		at[i] = t.Degrees()
	}
	return sample(a, Axis{"opening", "opening", degree}, at, drives, wanted)
}

// SampleDriver takes measures at values of one driver, mm or radians, with the
// book open at one opening and everything else at rest.
func SampleDriver(a *kinematics.Assembly, driver int, values []float64, opening geom.Angle, wanted []measure.Measure) (*Table, error) {
	if driver < 0 || driver >= len(a.Drivers) {
		return nil, &OptionError{"driver", "is not one of the design"}
	}
	d := &a.Drivers[driver]
	axis := Axis{d.ID, d.ID, string(a.Design.Units)}
	per := a.Design.Units.PerUnit()
	if d.Quantity == design.Degrees {
		axis.Unit, per = degree, float64(geom.Degrees(1))
	}
	drives := make([]kinematics.Drive, len(values))
	at := make([]float64, len(values))
	for i, v := range values {
		drives[i] = kinematics.Drive{Opening: opening, Hand: a.Rest()}
		drives[i].Hand[driver] = v
		at[i] = v / per
	}
	return sample(a, axis, at, drives, wanted)
}

func sample(a *kinematics.Assembly, axis Axis, at []float64, drives []kinematics.Drive, wanted []measure.Measure) (*Table, error) {
	switch {
	case len(drives) == 0 || len(drives) > MaxSamples:
		return nil, &OptionError{axis.ID, fmt.Sprintf("must be from 1 to %d values", MaxSamples)}
	case len(wanted) == 0 || len(wanted) > MaxMeasures:
		return nil, &OptionError{"wanted", fmt.Sprintf("must be from 1 to %d measures", MaxMeasures)}
	}
	for i := range drives {
		if !finite(at[i]) || !finite(float64(drives[i].Opening)) {
			return nil, &OptionError{axis.ID, "must be finite values"}
		}
	}
	t := &Table{Title: a.Design.Title, Axis: axis, At: at, Series: make([]Series, len(wanted))}
	for k, m := range wanted {
		if found, ok := measure.Find(a, m.ID); !ok || found != m {
			return nil, &OptionError{"wanted", fmt.Sprintf("has %q, which is no measure of the design", m.ID)}
		}
		t.Series[k] = Series{m, make([]float64, len(drives))}
	}
	gauge, p := measure.NewGauge(a), a.NewPose()
	for i := range drives {
		a.PoseInto(p, drives[i])
		for k := range t.Series {
			s := &t.Series[k]
			taken := gauge.Take(&s.Measure, p)
			s.Values[i] = taken.Value / s.Scale
		}
	}
	return t, nil
}
