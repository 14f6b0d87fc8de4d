package design

import (
	"math"
	"slices"
	"testing"

	"foldwright/solver/geom"
)

func numberAt(t *testing.T, d *Design, pointer string) Number {
	t.Helper()
	n, ok := d.Number(pointer)
	if !ok {
		t.Fatalf("no number at %s", pointer)
	}
	return n
}

func TestNumbers(t *testing.T) {
	for _, row := range []struct {
		pointer       string
		value, lo, hi float64
		unit          string
	}{
		{"/spread/page_width", 130, 20, 1000, "mm"},
		{"/spread/opens_to", 180, 1, 180, "deg"},
		{"/mechanisms/0/at", 100, -2000, 2000, "mm"},
		{"/mechanisms/0/left/base_angle", 55, 0.5, 179.5, "deg"},
		{"/mechanisms/0/left/base_length", 70, 0.1, 2000, "mm"},
		{"/mechanisms/1/left/panel_width", 34, 0.1, 2000, "mm"},
		{"/mechanisms/3/place/rotate", 0, -360, 360, "deg"},
	} {
		d := decode(t, harbourMorning)
		n := numberAt(t, d, row.pointer)
		if got := n.Get(); math.Abs(got-row.value) > 1e-12 {
			t.Errorf("%s is %g, want %g", row.pointer, got, row.value)
		}
		if lo, hi := n.Range(d); lo != row.lo || hi != row.hi {
			t.Errorf("%s ranges from %g to %g, want %g to %g", row.pointer, lo, hi, row.lo, row.hi)
		}
		if n.Unit() != row.unit {
			t.Errorf("%s is in %s, want %s", row.pointer, n.Unit(), row.unit)
		}
		n.Set(42.5)
		if got := numberAt(t, d, row.pointer).Get(); math.Abs(got-42.5) > 1e-12 {
			t.Errorf("%s was set to 42.5 and is %g", row.pointer, got)
		}
	}
}

func TestNumbersReachTheSpec(t *testing.T) {
	d := decode(t, harbourMorning)
	numberAt(t, d, "/mechanisms/0/left/base_angle").Set(60)
	numberAt(t, d, "/mechanisms/3/place/u").Set(12)
	if got := d.Mechanisms[0].Spec.(*VFold).Left.BaseAngle; math.Abs(float64(got-geom.Degrees(60))) > 1e-15 {
		t.Errorf("base angle is %g rad", float64(got))
	}
	if got := d.Mechanisms[3].Spec.(*Figure).Place.U; got != 12 {
		t.Errorf("u is %g", got)
	}
}

func TestNumbersInInches(t *testing.T) {
	d := decode(t, `{"units":"in","spread":{"page_width":5,"page_height":7}}`)
	n := numberAt(t, d, "/spread/page_width")
	if n.Get() != 5 || n.Unit() != "in" {
		t.Errorf("%g %s", n.Get(), n.Unit())
	}
	if lo, hi := n.Range(d); math.Abs(lo*25.4-20) > 1e-12 || math.Abs(hi*25.4-1000) > 1e-12 {
		t.Errorf("ranges from %g to %g in", lo, hi)
	}
	n.Set(6)
	if math.Abs(d.Spread.PageWidth-152.4) > 1e-12 {
		t.Errorf("width is %g mm", d.Spread.PageWidth)
	}
}

// A right side left out mirrors the left and follows it when it is changed; its
// numbers are not listed. One that is given goes its own way.
func TestMirroredSideFollows(t *testing.T) {
	d := decode(t, with(goodVFold))
	numberAt(t, d, "/mechanisms/0/left/panel_angle").Set(80)
	if left, right := d.Mechanisms[0].Spec.(*VFold).Sides(); left.PanelAngle != geom.Degrees(80) || right.PanelAngle != left.PanelAngle {
		t.Errorf("left %v, right %v", left.PanelAngle, right.PanelAngle)
	}
	if _, ok := d.Number("/mechanisms/0/right/panel_angle"); ok {
		t.Error("the mirrored side has a number of its own")
	}

	d = decode(t, with(swap(goodVFold, `"ridge_length"`, `"right":`+vSideJSON+`,"ridge_length"`)))
	numberAt(t, d, "/mechanisms/0/left/panel_angle").Set(80)
	if _, right := d.Mechanisms[0].Spec.(*VFold).Sides(); right.PanelAngle != geom.Degrees(60) {
		t.Errorf("right %v followed", right.PanelAngle)
	}
	numberAt(t, d, "/mechanisms/0/right/panel_angle").Set(70)
	if _, right := d.Mechanisms[0].Spec.(*VFold).Sides(); right.PanelAngle != geom.Degrees(70) {
		t.Errorf("right %v was not set", right.PanelAngle)
	}
}

func TestNoSuchNumber(t *testing.T) {
	d := decode(t, harbourMorning)
	for _, pointer := range []string{
		"", "/", "/title", "/spread", "/spread/colour", "/mechanisms", "/mechanisms/0", "/mechanisms/0/id",
		"/mechanisms/4/at", "/mechanisms/-1/at", "/mechanisms/x/at", "/mechanisms/99999999999999999999/at", "mechanisms/0/at",
	} {
		if _, ok := d.Number(pointer); ok {
			t.Errorf("there is a number at %q", pointer)
		}
	}
}

// A changed copy leaves the original alone.
func TestCloneIsSeparate(t *testing.T) {
	d := decode(t, with(swap(goodVFold, `"ridge_length"`, `"right":`+vSideJSON+`,"ridge_length"`), goodStrap, goodFigure))
	c := d.Clone()
	for i := range c.Mechanisms {
		for _, n := range c.Numbers(i) {
			was := numberAt(t, d, n.Pointer).Get()
			n.Set(was + 1)
			if is := numberAt(t, d, n.Pointer).Get(); is != was {
				t.Errorf("%s of the original went from %g to %g", n.Pointer, was, is)
			}
		}
	}
	c.Spread.PageWidth = 1
	if d.Spread.PageWidth != 100 || !slices.Equal(c.Order(), d.Order()) {
		t.Error("the copies share their spread, or lost their order")
	}
}

// Every number of every kind has a range in the schema, and the value it was
// read with is inside.
func TestEveryNumberHasARange(t *testing.T) {
	d := decode(t, harbourMorning)
	seen := 0
	for i := range d.Mechanisms {
		for _, n := range d.Numbers(i) {
			lo, hi := n.Range(d)
			if v := n.Get(); !(lo < hi && v >= lo && v <= hi) {
				t.Errorf("%s is %g, from %g to %g", n.Pointer, v, lo, hi)
			}
			seen++
		}
	}
	if seen < 15 {
		t.Errorf("only %d numbers", seen)
	}
}
