package model

import (
	"errors"
	"fmt"
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Options say how a model is made. The zero value opens from shut as far as the
// spread does.
type Options struct {
	// From and To are the openings at the start and the end of the animation.
	// When both are 0, it opens from shut as far as the spread does.
	From, To geom.Angle
	// Rest is the opening of the model where its animation is not played.
	// 0 is To.
	Rest geom.Angle
	// Hand is where what is moved by hand stands; nil is at rest.
	Hand []float64
	// Seconds is how long the animation is; 0 is DefaultSeconds.
	Seconds float64
	// Tolerance is how far interpolation may lead a panel astray, mm; 0 is
	// DefaultTolerance.
	Tolerance float64
	// Flatness is how far flat chords may stray from curved outlines, mm; 0 is
	// DefaultFlatness.
	Flatness float64
	// Stop is asked now and then; once it returns true the model is given up. Nil
	// never does.
	Stop func() bool
}

// ErrStopped is the error of a model that was given up.
var ErrStopped = errors.New("model: stopped")

const (
	DefaultSeconds = 4.0
	MaxSeconds     = 3600.0
	// DefaultTolerance is the thickness of thin paper.
	DefaultTolerance = 0.05
	DefaultFlatness  = 0.05
	// MinTolerance is what single precision still resolves, with a margin, in
	// a model of a metre: 1 m · 2^-24 is 0.06 µm.
	MinTolerance = 0.001
)

// OptionError is an option that cannot be used.
type OptionError struct {
	Option string // the field of Options
	Reason string
}

func (e *OptionError) Error() string { return "model: " + e.Option + " " + e.Reason }

func (o Options) resolved(a *kinematics.Assembly) (Options, error) {
	for _, angle := range [...]struct {
		name  string
		value geom.Angle
	}{{"From", o.From}, {"To", o.To}, {"Rest", o.Rest}} {
		if !finite(float64(angle.value)) {
			return o, &OptionError{angle.name, "must be a finite angle"}
		}
	}
	if o.From == 0 && o.To == 0 {
		o.To = a.Design.Spread.OpensTo
	}
	if o.From == o.To {
		return o, &OptionError{"To", "must differ from From"}
	}
	if o.Rest == 0 {
		o.Rest = o.To
	}
	if o.Hand != nil && len(o.Hand) != len(a.Drivers) {
		return o, &OptionError{"Hand", fmt.Sprintf("must have a value for each of the %d drivers", len(a.Drivers))}
	}
	for _, v := range o.Hand {
		if !finite(v) {
			return o, &OptionError{"Hand", "must have finite values"}
		}
	}
	for _, d := range [...]struct {
		name      string
		value     *float64
		instead   float64
		low, high float64
	}{
		{"Seconds", &o.Seconds, DefaultSeconds, 0.01, MaxSeconds},
		{"Tolerance", &o.Tolerance, DefaultTolerance, MinTolerance, 10},
		{"Flatness", &o.Flatness, DefaultFlatness, MinTolerance, 10},
	} {
		if *d.value == 0 {
			*d.value = d.instead
		}
		if !(*d.value >= d.low && *d.value <= d.high) {
			return o, &OptionError{d.name, fmt.Sprintf("must be from %g to %g", d.low, d.high)}
		}
	}
	return o, nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
