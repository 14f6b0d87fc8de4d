package api

import (
	"errors"
	"math"
	"testing"
)

// Callers without a server have no contract before them: what the packages
// below refuse is told by the name of the option.
func TestRefusedOptionsAreNamed(t *testing.T) {
	p := &Pipeline{}
	doc := exampleDocument(t, "quay")
	number := func(v float64) *float64 { return &v }
	narrow := 3
	for _, c := range []struct {
		name string // of the option
		run  func() error
	}{
		{"seconds", func() error {
			_, err := p.Model(t.Context(), doc, ModelOptions{Seconds: number(-1)})
			return err
		}},
		{"seconds", func() error {
			_, err := p.Model(t.Context(), doc, ModelOptions{Seconds: number(math.NaN())})
			return err
		}},
		{"from", func() error {
			_, err := p.Model(t.Context(), doc, ModelOptions{From: number(math.NaN())})
			return err
		}},
		{"to", func() error {
			_, err := p.Model(t.Context(), doc, ModelOptions{From: number(90), To: number(90)})
			return err
		}},
		{"opening", func() error {
			_, err := p.Model(t.Context(), doc, ModelOptions{Opening: number(math.Inf(1))})
			return err
		}},
		{"width", func() error {
			_, err := p.Curves(t.Context(), doc, CurvesOptions{Width: &narrow}, MediaSVG)
			return err
		}},
		{"sweep/to", func() error {
			_, err := p.Curves(t.Context(), doc, CurvesOptions{Sweep: SweepOptions{To: number(math.NaN())}}, MediaCSV)
			return err
		}},
		{"width", func() error {
			_, err := p.View(t.Context(), doc, ViewOptions{Width: &narrow}, MediaSVG)
			return err
		}},
		{"background", func() error {
			_, err := p.View(t.Context(), doc, ViewOptions{Background: "sea"}, MediaSVG)
			return err
		}},
	} {
		err := c.run()
		if refused, ok := errors.AsType[*optionFault](err); !ok || refused.name != c.name {
			t.Errorf("%v, want a fault of %s", err, c.name)
		}
	}
}
