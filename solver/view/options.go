package view

import (
	"fmt"
	"math"
	"slices"
)

// Options say how a picture is drawn. The zero value is a picture of the
// default width from the reader's side, without shadow, labels or background.
type Options struct {
	Width  int // px; 0 is DefaultWidth
	Camera Camera
	// Shadow lays the soft shadows of the mechanisms on the pages.
	Shadow bool
	// Labels writes the name of every mechanism that can be seen.
	Labels bool
	// Background is a colour, #rgb or #rrggbb; empty leaves the picture
	// transparent.
	Background string
	// Look says how each panel and strip is drawn, by its ID; nil draws all plain.
	Look func(sheet string) Look
	// Marks point to places, such as those of findings.
	Marks []Mark
	// Dimensions are the measurements of the pose that are drawn.
	Dimensions []Dimension
	// IDPrefix starts the ids inside the picture. Pictures put into one page
	// of HTML need different ones when they have shadows. Empty is "view".
	IDPrefix string
	// Stop is asked now and then, from the goroutine that draws; once it is
	// true, drawing ends with ErrStopped. nil never stops.
	Stop func() bool
}

// Look is how one piece of paper is drawn.
type Look uint8

const (
	Plain Look = iota
	Hidden
	Emphasised // in a colour of its own with a heavy edge
)

const (
	DefaultWidth = 640
	MinWidth     = 32
	MaxWidth     = 8192
)

// OptionError is an option that cannot be used.
type OptionError struct {
	Option string // the field of Options, such as "Camera.Distance"
	Reason string
}

func (e *OptionError) Error() string { return "view: " + e.Option + " " + e.Reason }

// resolved checks the options and fills in defaults.
func (o Options) resolved() (Options, error) {
	if o.Width == 0 {
		o.Width = DefaultWidth
	}
	if o.Width < MinWidth || o.Width > MaxWidth {
		return o, &OptionError{"Width", fmt.Sprintf("must be from %d to %d px", MinWidth, MaxWidth)}
	}
	if o.Background != "" && !isHexColour(o.Background) {
		return o, &OptionError{"Background", "must be a colour like #fff or #f8f5ee"}
	}
	if o.IDPrefix == "" {
		o.IDPrefix = "view"
	}
	if !isID(o.IDPrefix) {
		return o, &OptionError{"IDPrefix", "must be a letter followed by letters, digits, - or _"}
	}
	for _, d := range o.Dimensions {
		if !slices.Contains(Dimensions(), d) {
			return o, &OptionError{"Dimensions", "has one that is not known"}
		}
	}
	if err := checkMarks(o.Marks); err != nil {
		return o, err
	}
	var err error
	o.Camera, err = o.Camera.resolved()
	return o, err
}

func isHexColour(s string) bool {
	if len(s) != 4 && len(s) != 7 || s[0] != '#' {
		return false
	}
	for _, c := range s[1:] {
		if !(c >= '0' && c <= '9' || c >= 'a' && c <= 'f' || c >= 'A' && c <= 'F') {
			return false
		}
	}
	return true
}

func isID(s string) bool {
	for i, c := range s {
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
		if !letter && (i == 0 || !(c >= '0' && c <= '9' || c == '-' || c == '_')) {
			return false
		}
	}
	return s != ""
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
