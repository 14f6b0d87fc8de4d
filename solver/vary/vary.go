package vary

import (
	"errors"
	"math"

	"foldwright/solver/check"
	"foldwright/solver/curves"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// Axis is a number of the document and the values it takes, in the document's
// units or degrees. Numbers tied to it change by the same amount.
type Axis struct {
	Pointer string
	Tied    []string
	Values  []float64
}

// Task is what to sweep, by one axis or two, and what to look at.
type Task struct {
	Design *design.Design
	Axes   []Axis
	// Readings are measures of the design as it is.
	Readings []measure.Reading
	// Examined is whether the checks are run on each design.
	Examined bool
	// Stop is asked before each design whether to give up; nil never does.
	Stop func() bool
	// Progress is told how many designs are done; nil is told nothing.
	Progress func(done, of int)
}

// Point is one design of the sweep.
type Point struct {
	At []float64 // of each axis
	// Assembly is nil where the numbers do not make a design: one is out of its
	// range, or they contradict each other.
	Assembly *kinematics.Assembly
	// Values are those of the readings, in mm or radians; NaN where there is
	// none.
	Values []float64
	// Findings are without remedies.
	Findings []finding.Finding
}

// ErrStopped is the error of a sweep that was given up.
var ErrStopped = errors.New("vary: stopped")

// Run makes every design of the sweep, the first axis changing fastest. The
// pointers must be numbers of the design.
func Run(t *Task) ([]Point, error) {
	var out []Point
	count := Count(t.Axes)
	each(t.Axes, make([]float64, len(t.Axes)), len(t.Axes)-1, func(at []float64) bool {
		if t.stopped() {
			return false
		}
		out = append(out, t.point(append([]float64{}, at...)))
		if t.Progress != nil {
			t.Progress(len(out), count)
		}
		return true
	})
	if len(out) < count {
		return nil, ErrStopped
	}
	return out, nil
}

func (t *Task) stopped() bool { return t.Stop != nil && t.Stop() }

// Count is how many designs the axes make.
func Count(axes []Axis) int {
	n := 1
	for i := range axes {
		n *= len(axes[i].Values)
	}
	return n
}

func each(axes []Axis, at []float64, axis int, visit func(at []float64) bool) bool {
	if axis < 0 {
		return visit(at)
	}
	for _, v := range axes[axis].Values {
		at[axis] = v
		if !each(axes, at, axis-1, visit) {
			return false
		}
	}
	return true
}

func (t *Task) point(at []float64) Point {
	p := Point{At: at, Values: make([]float64, len(t.Readings))}
	for i := range p.Values {
		p.Values[i] = math.NaN()
	}
	d, ok := t.design(at)
	if !ok {
		return p
	}
	p.Assembly = kinematics.Compile(d)
	measure.NewReadings(p.Assembly, t.Readings).Values(p.Values)
	if t.Examined {
		p.Findings = check.Findings(p.Assembly, t.stopped)
	}
	return p
}

// design is the design with the numbers of the axes set.
func (t *Task) design(at []float64) (*design.Design, bool) {
	d := t.Design.Clone()
	for i := range t.Axes {
		axis := &t.Axes[i]
		first, ok := d.Number(axis.Pointer)
		if !ok {
			return nil, false
		}
		by := at[i] - first.Get()
		for _, pointer := range append([]string{axis.Pointer}, axis.Tied...) {
			n, ok := d.Number(pointer)
			if !ok {
				return nil, false
			}
			v := n.Get() + by
			if lo, hi := n.Range(d); v < lo || v > hi {
				return nil, false
			}
			n.Set(v)
		}
	}
	return d, d.Consistent()
}

// Table is the sweep as a table of curves over its first axis: a series for each
// reading and, with two axes, each value of the second. name is what a reading
// is called, and show what the second axis's value is written as.
func Table(t *Task, points []Point, name func(reading int) string, show func(v float64) string) *curves.Table {
	first := &t.Axes[0]
	n, _ := t.Design.Number(first.Pointer)
	out := &curves.Table{
		Title: t.Design.Title,
		Axis:  curves.Axis{ID: first.Pointer, Title: first.Pointer, Unit: n.Unit()},
		At:    first.Values,
	}
	row := len(first.Values)
	for start := 0; start < len(points); start += row {
		for k := range t.Readings {
			s := curves.Series{Measure: t.Readings[k].Measure, Values: make([]float64, row)}
			s.ID = name(k)
			if len(t.Axes) > 1 {
				s.ID += " at " + show(points[start].At[1])
			}
			s.Title = s.ID
			for i := range row {
				s.Values[i] = points[start+i].Values[k] / s.Scale
			}
			out.Series = append(out.Series, s)
		}
	}
	return out
}
