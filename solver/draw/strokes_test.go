package draw

import (
	"math"
	"testing"

	"foldwright/solver/geom"
)

// Strokes measure what the contour measures, and pieces add up.
func TestStrokes(t *testing.T) {
	for _, s := range []string{"M0 0 H10 V5 Z", "M5 0 A5 5 0 0 1 -5 0 A5 5 0 0 1 5 0 Z", "M0 0 A30 30 0 1 0 20 20", "M1 1 A2 2 0 0 0 3 3 L9 0"} {
		p := path(t, s)
		strokes := strokesOf(&p[0], 0.01)
		sum, pieces := 0.0, 0.0
		for _, k := range strokes {
			sum += k.length()
			pieces += k.piece(0, 0.3).length() + k.reverse().piece(0, 0.7).length()
			if d := k.along(0.4).Sub(k.at(0.4001).Sub(k.at(0.3999)).Unit()).Norm(); d > 1e-6 {
				t.Errorf("%s: direction off by %g", s, d)
			}
		}
		back := strokesPath(strokes, p[0].Closed)
		if want := p.Length(); math.Abs(sum-want) > 1e-9*want || math.Abs(pieces-want) > 1e-9*want || math.Abs(back.Length()-want) > 1e-9*want {
			t.Errorf("%s: %g, %g, %g, want %g", s, sum, pieces, back.Length(), want)
		}
		if math.Abs(back.Area()-p.Area()) > 1e-9*(1+math.Abs(p.Area())) {
			t.Errorf("%s: area %g, want %g", s, back.Area(), p.Area())
		}
	}
	k := stroke{v(1, 0), v(0, 1), math.Tan(math.Pi / 8)} // a quarter about the origin
	if k.center().Norm() > 1e-12 || math.Abs(k.radius()-1) > 1e-12 || k.at(0.5).Sub(v(math.Sqrt2/2, math.Sqrt2/2)).Norm() > 1e-12 {
		t.Errorf("center %v, radius %g, middle %v", k.center(), k.radius(), k.at(0.5))
	}
	if strokesPath(nil, true) != nil || len(strokesOf(&geom.Contour{Start: v(1, 1)}, 1)) != 0 {
		t.Error("nothing makes nothing")
	}
}
