package view

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// tangle is as many lidded boxes as a design may hold, all in one place: every
// panel runs through hundreds of others.
func tangle() string {
	list := make([]string, 200)
	for i := range list {
		k := float64(i)
		list[i] = fmt.Sprintf(`{"id":"crate%d","kind":"box","on":{"fold":"gutter"},"from":%g,"to":%g,"left_offset":%g,"right_offset":%g,"height":%g,"lid":true}`,
			i, 20+0.3*k, 100+0.37*k, 20+0.21*k, 21+0.23*k, 25+0.19*k)
	}
	return strings.Join(list, ",")
}

func TestTangledScenesAreRefused(t *testing.T) {
	if testing.Short() {
		t.Skip("splits as far as it may")
	}
	a := compile(t, spread(tangle()))
	start := time.Now()
	if err := Render(io.Discard, a, posed(a, 100), Options{}); !errors.Is(err, ErrTangled) {
		t.Errorf("%v, want %v", err, ErrTangled)
	}
	t.Logf("refused after %v", time.Since(start))
}

// Frames are held together, so what they may be split into together is bounded
// too: each of these could be drawn.
func TestTangledFramesAreRefused(t *testing.T) {
	boxes := strings.SplitAfter(tangle(), "},")
	a := compile(t, spread(strings.TrimSuffix(strings.Join(boxes[:100], ""), ",")))
	openings := make([]geom.Angle, 40)
	for i := range openings {
		openings[i] = radians(100)
	}
	if err := Strip(io.Discard, a, openings[:1], Options{}); err != nil {
		t.Fatal(err)
	}
	if err := Strip(io.Discard, a, openings, Options{}); !errors.Is(err, ErrTangled) {
		t.Errorf("%v, want %v", err, ErrTangled)
	}
}

// However deep in the work, drawing ends soon after it is told to, and nothing
// is written.
func TestDrawingStops(t *testing.T) {
	dense := compile(t, spread(tangle()))
	plain := compile(t, harbour)
	for _, c := range []struct {
		name string
		draw func(w io.Writer, o Options) error
	}{
		{"a tangle", func(w io.Writer, o Options) error { return Render(w, dense, posed(dense, 100), o) }},
		{"pixels", func(w io.Writer, o Options) error { return RenderPNG(w, plain, posed(plain, 100), o) }},
		{"labels", func(w io.Writer, o Options) error {
			o.Labels = true
			return Render(w, plain, posed(plain, 0), o)
		}},
		{"a strip", func(w io.Writer, o Options) error {
			return Strip(w, plain, []geom.Angle{0, 1, 2}, o)
		}},
		{"frames", func(w io.Writer, o Options) error {
			return Animate(w, plain, AnimateOptions{Options: o, Drives: []kinematics.Drive{{Opening: 1}, {Opening: 2}}})
		}},
	} {
		// Asked at first, then after ever more work, until a picture is done.
		for after := 0; ; after = 2*after + 1 {
			asked := 0
			var told time.Time
			o := Options{Stop: func() bool {
				asked++
				if asked > after && told.IsZero() {
					told = time.Now()
				}
				return asked > after
			}}
			var out strings.Builder
			err := c.draw(&out, o)
			if err == nil && after > 0 && asked <= after {
				break
			}
			if !errors.Is(err, ErrStopped) || out.Len() > 0 {
				t.Errorf("%s, told after %d: %v with %d bytes, want %v with none", c.name, after, err, out.Len(), ErrStopped)
			}
			if took := time.Since(told); took > time.Second {
				t.Errorf("%s, told after %d: went on for %v", c.name, after, took)
			}
			if after > 200 {
				break
			}
		}
	}
}
