package geom

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
)

func TestParsePathCommands(t *testing.T) {
	// Each row must come out as the absolute form that the grammar of SVG 2,
	// section 9.3, gives it. Half turns are written in two pieces.
	rows := []struct{ why, in, want string }{
		{"absolute and relative lines", "m 1 2 l 3 4 L 0 0", "M1 2 L4 6 L0 0"},
		{"pairs after a move are lines", "M0 0 10 0 10 10", "M0 0 H10 V10"},
		{"relative pairs after a relative move", "m1 1 2 0 0 2", "M1 1 H3 V3"},
		{"horizontal and vertical", "M1 2 h3 v4 H0 V0", "M1 2 H4 V6 H0 V0"},
		{"repeated horizontals", "M0 0 h1 2 3", "M0 0 H1 H3 H6"},
		{"close returns to the start", "M5 5 h1 v1 z l2 2", "M5 5 H6 V6 Z M5 5 L7 7"},
		{"relative move after close counts from the start", "M5 5 h1 v1 z m1 0 h1", "M5 5 H6 V6 Z M6 5 H7"},
		{"smooth cubic mirrors the control point", "M0 0 C0 1 1 2 2 2 S4 3 4 4", "M0 0 C0 1 1 2 2 2 C3 2 4 3 4 4"},
		{"smooth cubic after a line starts at the point", "M0 0 L2 2 S4 3 4 4", "M0 0 L2 2 C2 2 4 3 4 4"},
		{"smooth quadratic chain", "M0 0 Q1 1 2 0 T4 0 t2 0", "M0 0 Q1 1 2 0 Q3 -1 4 0 Q5 1 6 0"},
		{"smooth quadratic after a cubic starts at the point", "M0 0 C0 1 1 2 2 2 T4 4", "M0 0 C0 1 1 2 2 2 Q2 2 4 4"},
		{"arc flags without separators", "M0 0 a5 5 0 01 5 5 5 5 0 1110-3", "M0 0 A5 5 0 0 1 5 5 A5.2202 5.2202 0 0 1 8.5 -1.5 A5.2202 5.2202 0 0 1 15 2"},
		{"numbers without separators", "M.5.5-1-1e0+2.5e-1.5", "M0.5 0.5 L-1 -1 L0.25 0.5"},
		{"trailing dot", "M1. 2.L3.,4.", "M1 2 L3 4"},
		{"white space of every kind", "\t M\n1\r,\f2 L3 4 ", "M1 2 L3 4"},
		{"contours that draw nothing are dropped", "M1 1 M2 2 h1 M4 4 z", "M2 2 H3"},
		{"zero radius is a line (F.6.2)", "M0 0 A0 5 0 0 1 3 4", "M0 0 L3 4"},
		{"equal ends are nothing (F.6.2)", "M1 1 A5 5 0 0 1 1 1 H2", "M1 1 H2"},
		{"radii below zero lose the sign (F.6.6)", "M0 0 A-5 -5 0 0 1 5 5", "M0 0 A5 5 0 0 1 5 5"},
		{"radii too small grow to a half turn (F.6.6)", "M0 0 A1 1 0 0 1 10 0", "M0 0 A5 5 0 0 1 5 -5 A5 5 0 0 1 10 0"},
		{"empty", "", ""},
		{"blank", " \n", ""},
	}
	for _, r := range rows {
		p, err := ParsePath(r.in)
		if err != nil {
			t.Errorf("%s: %q: %v", r.why, r.in, err)
			continue
		}
		if got := p.String(); got != r.want {
			t.Errorf("%s: %q gives\n %s, want\n %s", r.why, r.in, got, r.want)
		}
	}
}

func TestParsePathErrors(t *testing.T) {
	rows := []struct {
		in     string
		offset int
		reason string
	}{
		{"L1 1", 0, "must begin with M"},
		{"1 1", 0, "must begin with M"},
		{"M0 0 X", 5, "unknown command"},
		{"M0", 2, "missing at the end"},
		{"M0 0 L1", 7, "missing at the end"},
		{"M0 0 L1 1,", 10, "missing at the end"},
		{"M0 0 L1,,1", 8, "missing"},
		{"M,0 0", 1, "missing"},
		{"M0 0 A5 5 0 2 1 5 5", 12, "flag"},
		{"M0 0 A5 5 0 0.5 1 5 5", 13, "flag"},
		{"M0 0 Lnan 1", 6, "missing"},
		{"M0 0 Linf 1", 6, "missing"},
		{"M0 0 L1e9 1", 6, "beyond"},
		{"M0 0 L1e999 1", 6, "beyond"},
		{"M9e5 0 l9e5 0", 8, "beyond"},
		{"M0 0 L-.e1 0", 6, "missing"},
		{"M0 0 z 5", 7, "unknown command"},
		{"M0 0" + strings.Repeat("h1", MaxPathSegments+1), 4 + 2*MaxPathSegments + 1, "more than"},
	}
	for _, r := range rows {
		name := r.in
		if len(name) > 40 {
			name = name[:40]
		}
		_, err := ParsePath(r.in)
		var pe *PathError
		if !errors.As(err, &pe) {
			t.Errorf("%q: error is %v", name, err)
			continue
		}
		if pe.Offset != r.offset || !strings.Contains(pe.Reason, r.reason) {
			t.Errorf("%q: %v, want byte %d and %q", name, pe, r.offset, r.reason)
		}
	}
}

func TestFormatPathNumbers(t *testing.T) {
	rows := []struct {
		v        float64
		decimals int
		want     string
	}{
		{0, 4, "0"}, {math.Copysign(0, -1), 4, "0"}, {-0.00001, 4, "0"}, {1.5, 4, "1.5"},
		{-0.12345, 4, "-0.1235"}, {1e6, 4, "1000000"}, {100, 0, "100"}, {99.99999, 4, "100"}, {1e-7, 4, "0"},
	}
	for _, r := range rows {
		if got := string(AppendNumber(nil, r.v, r.decimals)); got != r.want {
			t.Errorf("%v at %d decimals: %s, want %s", r.v, r.decimals, got, r.want)
		}
	}
}

// fuzzSeeds cover each command, the compact number forms and the worst arcs.
var fuzzSeeds = []string{
	"M0 0 H14 V20 H0 Z",
	"M-4 0 C-4 12 -2 30 -1.5 44 Q0 50 1.5 44 S4 12 4 0 T9 9 z m1 1 l2 2",
	"M0 0a5 5 30 01 5 5 5 2 0 1110-3",
	"M0 0 A1e-9 1e6 45 1 0 1e-300 0",
	"M.5.5-1-1e0+2.5e-1.5",
	"M0 0 A5 5 0 1 0 1e-16 0",
	"m1e6 1e6 0 0z",
	"M0 0A1 2 0 001e-16 0",
}

// FuzzParsePath: no input may panic, what parses is finite and small, and
// writing it and reading it back settles after one round.
func FuzzParsePath(f *testing.F) {
	for _, s := range fuzzSeeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePath(s)
		if err != nil {
			var pe *PathError
			if !errors.As(err, &pe) || pe.Offset < 0 || pe.Offset > len(s) {
				t.Fatalf("error without a place: %v", err)
			}
			return
		}
		if b := p.Bounds(); !b.Empty() && (math.IsNaN(b.Size().Norm()) || b.Size().Norm() > 20*MaxPathCoordinate) {
			t.Fatalf("bounds %v", b)
		}
		if v := p.Area() + p.Length(); math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("area %v, length %v", p.Area(), p.Length())
		}
		if p.FlatCount(1) < 1e5 {
			for _, ring := range p.Flatten(1) {
				for _, v := range ring {
					if math.IsNaN(v.X + v.Y) {
						t.Fatal("flattened point is not a number")
					}
				}
			}
		}
		// What was written is within the rounding of what was read, and so
		// is legal unless it sat on the very edge of the allowed range.
		if _, err := ParsePath(p.String()); err != nil && !strings.Contains(err.Error(), "beyond") && !strings.Contains(err.Error(), "more than") {
			t.Fatalf("%q does not read back: %v", p.String(), err)
		}
	})
}

func TestParseFormatRoundTrip(t *testing.T) {
	for _, s := range []string{
		"M0 0 H14 V20 H0 Z",
		"M1.5 2 L3 4.25 Q5 5 6 2 C7 0 8 1 9 2 A5 3 30 0 1 12 4 Z M3 3 V4 H5 Z",
		"M0 0 A10 10 0 0 0 10 10 L3 1",
	} {
		p, err := ParsePath(s)
		if err != nil {
			t.Fatal(err)
		}
		if got := p.String(); got != s {
			t.Errorf("%s came back as %s", s, got)
		}
		again, err := ParsePath(p.String())
		if err != nil || !reflect.DeepEqual(p, again) {
			t.Errorf("%s: second reading differs (%v)", s, err)
		}
	}
}
