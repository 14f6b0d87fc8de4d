package pattern

import (
	"math"
	"os"
	"slices"
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

func foldsBothWays(c *Crease) bool {
	return c.AngleMin < math.Pi-bothWays && c.AngleMax > math.Pi+bothWays
}

// The end walls of the crate fold inwards, as those of the shed do, which is a
// box of its own kind: towards the printed face, which is outside, they are
// valleys. Their hinges are worked from inside, where they close from flat all
// the way round; flat and folded flat are 180 and 360 degrees.
func TestEndsThatFoldInAreValleys(t *testing.T) {
	for _, row := range []struct {
		file, part, crease string
		lo, hi             float64
	}{
		{"shed", "shed", "shed.front_crease", 0, math.Pi},
		{"crate", "crate", "crate.front_crease", math.Pi, 2 * math.Pi},
		{"crate", "crate", "crate.back_crease", math.Pi, 2 * math.Pi},
	} {
		document, err := os.ReadFile("../../testdata/designs/" + row.file + ".json")
		if err != nil {
			t.Fatal(err)
		}
		_, p := cleanPattern(t, string(document))
		c := p.Part(row.part).crease(row.crease)
		if c.Kind != Valley {
			t.Errorf("%s is a %v, want a valley", row.crease, c.Kind)
		}
		approx(t, row.crease+" least", float64(c.AngleMin), row.lo, 1e-6)
		approx(t, row.crease+" most", float64(c.AngleMax), row.hi, 1e-6)
	}
}

// A V cut with base angles past 90 degrees goes down through the page: its base
// lines are creased away from the reader.
func TestCutVThatGoesDown(t *testing.T) {
	for _, row := range []struct {
		angle string
		bases CreaseKind
	}{{"50", Valley}, {"130", Mountain}} {
		_, p := cleanPattern(t, one(`{"id":"arch","kind":"cut_v","on":{"fold":"gutter"},"at":160,"left":{"base_angle":`+row.angle+`,"base_length":40},"ridge_length":30}`))
		for _, id := range []string{"arch.left_base", "arch.right_base"} {
			if c := p.Part("page").crease(id); c.Kind != row.bases {
				t.Errorf("%s at %s degrees is a %v, want a %v", id, row.angle, c.Kind, row.bases)
			}
		}
	}
}

// A V on the outside of a tent's ridge: its right side leans over backwards as
// the ridge opens, so its base line folds one way and then the other.
func TestFoldThatPassesFlatIsReported(t *testing.T) {
	_, p := cleanPatternBut(t, CodeBothWays, `{"spread":{"page_width":130,"page_height":180},"mechanisms":[
		{"id":"tent","kind":"parallel_fold","on":{"fold":"gutter"},"from":5,"to":20,"left":{"base_offset":34.3,"panel_width":35.7}},
		{"id":"gull","kind":"v_fold","on":{"fold":"tent.ridge","side":"outer"},"at":3,"ridge_length":42,
		 "left":{"base_angle":64,"panel_angle":21,"base_length":18},"right":{"base_angle":76,"panel_angle":9,"base_length":18}}]}`)
	var told []string
	for _, q := range p.Problems {
		if q.Code == CodeBothWays {
			told = append(told, q.Detail)
			if q.Pointer != "/mechanisms/1/on" {
				t.Errorf("it points to %s", q.Pointer)
			}
			if q.Amount.Unit != "deg" || q.Amount.Value < 0.5 || q.Amount.Value > 90 {
				t.Errorf("it is past flat by %+v", q.Amount)
			}
		}
	}
	if len(told) == 0 {
		t.Fatal("nothing is said of a fold that passes flat")
	}
	for i := range p.Parts {
		for k := range p.Parts[i].Creases {
			c := &p.Parts[i].Creases[k]
			is := slices.ContainsFunc(told, func(s string) bool { return len(s) > len(c.ID) && s[:len(c.ID)+1] == c.ID+" " })
			if want := foldsBothWays(c); is != want {
				t.Errorf("%s from %.1f to %.1f degrees: reported %v", c.ID, c.AngleMin.Degrees(), c.AngleMax.Degrees(), is)
			}
		}
	}
}

func TestUnwrap(t *testing.T) {
	nan, full := geom.Angle(math.NaN()), geom.Angle(2*math.Pi)
	for _, row := range []struct {
		why       string
		got, want []geom.Angle
	}{
		{"shut", []geom.Angle{0, 1, 2}, []geom.Angle{0, 1, 2}},
		{"folded round at first", []geom.Angle{0, 6, 4}, []geom.Angle{full, 6, 4}},
		{"not reached when shut", []geom.Angle{nan, 0, nan, 6}, []geom.Angle{nan, full, nan, 6}},
		{"folded round at last", []geom.Angle{4, 6, 1e-9}, []geom.Angle{4, 6, full}},
		{"shut but for rounding", []geom.Angle{full - 1e-9, 1}, []geom.Angle{0, 1}},
		{"shut throughout", []geom.Angle{0, 0}, []geom.Angle{0, 0}},
	} {
		unwrap(row.got)
		for i := range row.want {
			if row.got[i] != row.want[i] && !math.IsNaN(float64(row.want[i])) {
				t.Errorf("%s: %v, want %v", row.why, row.got, row.want)
				break
			}
		}
	}
}
