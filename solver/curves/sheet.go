package curves

import (
	"image/color"

	"foldwright/solver/geom"
	"foldwright/solver/raster"
)

// sheet is a plot laid out, px, x right and y down: lines and texts in the order
// they are drawn.
type sheet struct {
	width, height int
	title         string
	ground        bool
	lines         []line
	texts         []raster.Text
}

// line is lines of one look.
type line struct {
	id     string // of the measure, if it is a curve
	runs   []raster.Line
	ink    color.NRGBA
	width  float64
	dash   []float64
	dotted []geom.Vec2 // values with none beside them, drawn as dots
}

var (
	axisInk  = color.NRGBA{92, 84, 76, 255}
	gridInk  = color.NRGBA{228, 222, 212, 255}
	textInk  = color.NRGBA{58, 62, 66, 255}
	titleInk = color.NRGBA{44, 62, 92, 255}
)

// inks are the colours of curves: those of Okabe and Ito (Color universal
// design, 2008), which eyes of all kinds tell apart, with the yellow left out,
// that does not show on white.
var inks = []color.NRGBA{
	{0, 114, 178, 255},
	{213, 94, 0, 255},
	{0, 158, 115, 255},
	{204, 121, 167, 255},
	{86, 180, 233, 255},
	{230, 159, 0, 255},
	{60, 60, 60, 255},
}

// dashes go with the inks, but in another rhythm, so that neighbours differ in
// both and no two of MaxCurves are the same in both. Lengths are drawn and left
// out in turn, px; the ends are round, which adds the width of the line to what
// is drawn.
var dashes = [][]float64{nil, {6, 5}, {0.5, 4.5}, {9, 5, 0.5, 5}, {15, 5}}

func look(i int) (color.NRGBA, []float64) { return inks[i%len(inks)], dashes[i%len(dashes)] }
