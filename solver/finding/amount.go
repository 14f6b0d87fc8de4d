package finding

import (
	"math"
	"strconv"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// String writes the amount as people read it.
func (a Amount) String() string {
	if a.Unit == "deg" {
		return decimals(a.Value, 2) + "°"
	}
	places := 2
	if a.Unit == string(design.Inches) {
		places = 3
	}
	return decimals(a.Value, places) + " " + a.Unit
}

// decimals writes v to the given places, or to one digit when that is zero.
func decimals(v float64, places int) string {
	scale := math.Pow10(places)
	if r := math.Round(v*scale) / scale; r != 0 || v == 0 {
		if v == 0 {
			r = 0 // without a sign
		}
		return strconv.FormatFloat(r, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', 1, 64)
}

// Length is a length in mm as an amount in the design's unit.
func Length(d *design.Design, mm float64) Amount {
	return Amount{mm / d.Units.PerUnit(), string(d.Units)}
}

// Angle is an angle as an amount in degrees.
func Angle(a geom.Angle) Amount { return Amount{a.Degrees(), "deg"} }
