package pattern

import (
	"math"
	"testing"

	"foldwright/solver/geom"
)

// The gutter turns from shut to open flat. A symmetric V-fold with base angle 45
// and panel angle 60 has its ridge shut at 0 and at sin κ/2 = sin a / sin p when
// open, 109.4712 degrees (the spherical right triangle beside its plane of
// symmetry).
func TestCreaseAngles(t *testing.T) {
	const sail = `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":200,"left":{"base_angle":45,"panel_angle":60,"base_length":70},"ridge_length":85}`
	_, p := cleanPattern(t, one(sail))
	kappa := 2 * math.Asin(math.Sin(math.Pi/4)/math.Sin(math.Pi/3))
	for _, row := range []struct {
		part, id string
		lo, hi   float64
	}{
		{"page", "gutter", 0, math.Pi},
		{"sail", "sail.ridge", 0, kappa},
	} {
		c := p.Part(row.part).crease(row.id)
		approx(t, row.id+" shut", float64(c.AngleMin), row.lo, 1e-9)
		approx(t, row.id+" open", float64(c.AngleMax), row.hi, 1e-9)
	}
	// A base line is shut with the page at first and never folds past it.
	c := p.Part("sail").crease("sail.left_base")
	if c.AngleMin > 1e-9 || c.AngleMax <= 0.5 || c.AngleMax >= math.Pi {
		t.Errorf("left base turns from %g to %g", c.AngleMin, c.AngleMax)
	}
}

// A mechanism that cannot be posed at any opening has no angles, and is made all
// the same.
func TestCreaseOfWhatIsNeverReached(t *testing.T) {
	_, p := cleanPattern(t, one(`{"id":"pier","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":60,"left":{"base_offset":60,"panel_width":20},"right":{"base_offset":60,"panel_width":150}}`))
	c := p.Part("pier").crease("pier.ridge")
	if c == nil || c.AngleMin != 0 || c.AngleMax != 0 {
		t.Errorf("ridge %+v, want no angles", c)
	}
}

func TestGrain(t *testing.T) {
	a, p := cleanPattern(t, harbour)
	up := geom.Vec2{Y: 1}
	for _, id := range []string{"page", "lighthouse", "gull"} {
		near(t, "grain of "+id, p.Part(id).Grain, up, 1e-12)
	}
	// The crab lies on the quay, whose ridge runs along u of its panels.
	g := p.Part("crab").Grain
	approx(t, "grain of the crab along u", math.Abs(g.X), 1, 1e-12)
	a.Design.Paper.Grain = "across_gutter"
	p = mustMake(t, a, DefaultOptions())
	near(t, "grain across", p.Part("page").Grain, geom.Vec2{X: 1}, 1e-12)
	near(t, "grain of a piece", p.Part("lighthouse").Grain, up, 1e-12)
}
