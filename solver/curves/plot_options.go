package curves

import "fmt"

// PlotOptions say how a plot is drawn.
type PlotOptions struct {
	Width  int // px; 0 is DefaultWidth
	Height int // px; 0 is two thirds of the width, more where the legend needs it
	// Transparent leaves out the white ground.
	Transparent bool
}

const (
	DefaultWidth = 720
	MinWidth     = 240
	MaxWidth     = 4096
	MinHeight    = 160
	// MaxCurves is how many lines one plot can tell apart: each has a colour
	// and a dash of its own.
	MaxCurves = 24
)

func (o PlotOptions) resolved(t *Table) (PlotOptions, error) {
	if o.Width == 0 {
		o.Width = DefaultWidth
	}
	switch {
	case o.Width < MinWidth || o.Width > MaxWidth:
		return o, &OptionError{"Width", fmt.Sprintf("must be from %d to %d px", MinWidth, MaxWidth)}
	case o.Height != 0 && (o.Height < MinHeight || o.Height > MaxWidth):
		return o, &OptionError{"Height", fmt.Sprintf("must be from %d to %d px", MinHeight, MaxWidth)}
	case len(t.Series) == 0 || len(t.Series) > MaxCurves:
		return o, &OptionError{"wanted", fmt.Sprintf("must be from 1 to %d measures for one plot", MaxCurves)}
	}
	return o, nil
}
