package pattern

import (
	"errors"
	"fmt"
	"math"

	"foldwright/solver/draw"
)

// Options are the allowances and sizes a pattern is made with, all in mm.
type Options struct {
	// SlotLengthClearance is how much longer a slot is than the tab through it.
	// Common practice: 0.5 to 1.
	SlotLengthClearance float64
	// SlotGapClearance is how much wider a slot is than the layers through it.
	// Common practice: 0.1 to 0.3.
	SlotGapClearance float64
	// PartSpacing is the room left between parts in the drawing.
	PartSpacing float64
	// LabelHeight is the height of the lettering; it shrinks to
	// MinLabelHeight where there is no room.
	LabelHeight float64
	// MinWeb is the least paper left between cuts; zero is by the paper.
	MinWeb float64
	// MinRadius is the tightest bend that is cut well; zero allows any.
	MinRadius float64
	// Finish is how drawings are made ready for the machine.
	Finish draw.Finish
	// Plain leaves out creases and lettering, for those who only ask where parts
	// are glued.
	Plain bool
	// Unlettered leaves out the lettering alone, for those who do not draw the
	// parts.
	Unlettered bool
	// Stop is asked between parts and between joints whether to give up; nil
	// never does.
	Stop func() bool
}

// ErrStopped is the error of a pattern that was given up.
var ErrStopped = errors.New("pattern: stopped")

// MinLabelHeight is the smallest lettering that can still be read, mm: about
// the x-height and ascenders of a 6 point type. Common practice.
const MinLabelHeight = 2.0

// DefaultOptions are the middle of common practice.
func DefaultOptions() Options {
	return Options{
		SlotLengthClearance: 0.7,
		SlotGapClearance:    0.2,
		PartSpacing:         5,
		LabelHeight:         3,
		MinRadius:           draw.DefaultMinRadius,
	}
}

// OptionError is an option outside its range.
type OptionError struct {
	Name     string
	Min, Max float64
	Value    float64
}

func (e *OptionError) Error() string {
	return fmt.Sprintf("pattern: %s must be %g to %g mm; got %g", e.Name, e.Min, e.Max, e.Value)
}

func (o Options) check() error {
	for _, f := range []OptionError{
		{"slot_length_clearance", 0, 10, o.SlotLengthClearance},
		{"slot_gap_clearance", 0, 5, o.SlotGapClearance},
		{"part_spacing", 0, 200, o.PartSpacing},
		{"label_height", MinLabelHeight, 50, o.LabelHeight},
		{"min_web", 0, 20, o.MinWeb},
		{"min_radius", 0, 20, o.MinRadius},
	} {
		if !(f.Value >= f.Min && f.Value <= f.Max) || math.IsInf(f.Value, 0) {
			return &f
		}
	}
	return o.Finish.Check()
}
