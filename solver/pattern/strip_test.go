package pattern

import (
	"fmt"
	"math"
	"testing"

	"foldwright/solver/geom"
)

func tentDesign(fields string) string {
	return `{"spread":{"page_width":130,"page_height":180,"margin":5},"mechanisms":[
		{"id":"sail","kind":"slide_tent","page":"right","from":40,"to":100,"near_width":40,"far_width":35,` + fields + `}]}`
}

// Each end of the base line beside the gap keeps a tab; the gap is as much
// longer than the strip is wide as a slot is than its tab.
func TestStripPassesTheBaseLine(t *testing.T) {
	for _, page := range []string{"left", "right"} {
		a, p := cleanPattern(t, fmt.Sprintf(`{"spread":{"page_width":130,"page_height":180,"margin":5},"mechanisms":[
			{"id":"sail","kind":"slide_tent","page":%q,"from":40,"to":100,"near_width":40,"far_width":35,
			"fixed_offset":20,"travel":38,"strip":{"width":14,"at":60}}]}`, page))
		tent := p.Part("sail")
		long := 0.0
		var ends []float64
		for _, c := range tent.Creases {
			if c.ID == "sail.near_base" {
				long += c.Length()
				ends = append(ends, c.From.Y, c.To.Y)
			}
		}
		if len(ends) != 4 {
			t.Fatalf("the base line is scored at %v, want two stretches", ends)
		}
		if gap := 60 - long; math.Abs(gap-14.7) > 1e-9 {
			t.Errorf("a gap of %g, want 14 and a clearance of 0.7", gap)
		}
		for _, part := range []string{"sail", "page"} {
			for _, g := range p.Part(part).Glue {
				if g.Joint == "sail.near_base" && len(g.Path) != 2 {
					t.Errorf("%d glue areas on %s, want one each side of the gap", len(g.Path), part)
				}
			}
		}
		// Source: two panels and two tabs with one square end each, less the
		// window of a caliper and the clearance of a slot.
		tab := func(long float64) float64 { return 10*long - 10*10*math.Tan(35*math.Pi/180)/2 }
		want := 60*75 + tab(20-7.35) + tab(40-7.35) - 14.7*0.5
		if got := tent.Area(); math.Abs(got-want) > 1e-6 {
			t.Errorf("area of the tent %g, want %g", got, want)
		}
		if a.Strips[0].Length != 76 {
			t.Errorf("strip of %g, want 40+35+|20-19|", a.Strips[0].Length)
		}
	}
}

func TestStripIsCut(t *testing.T) {
	_, p := cleanPattern(t, tentDesign(`"fixed_offset":20,"travel":38,"strip":{"width":14}`))
	strip := p.Part("sail.strip")
	if size := strip.Size(); math.Abs(size.X-14) > 1e-9 || math.Abs(size.Y-(76+10+10)) > 1e-9 {
		t.Errorf("strip of %v, want 14 by its length 76 and two ends of 10", size)
	}
	var at []float64
	for _, c := range strip.Creases {
		at = append(at, c.From.Y)
		if c.Kind != Valley || c.From.Y != c.To.Y || c.Length() != 14 {
			t.Errorf("crease %+v", c)
		}
	}
	if len(at) != 2 || at[0] != 0 || at[1] != 76 {
		t.Errorf("creases at %v, want 0 and 76", at)
	}
	// Flat on the page the strip runs on straight into its end there.
	if open := strip.Creases[1].AngleMax; math.Abs(open.Degrees()-180) > 1e-6 {
		t.Errorf("at the anchor it opens to %g degrees, want 180", open.Degrees())
	}
	// Source: shut, strip and far panel lie on each other.
	if shut := strip.Creases[0].AngleMin; math.Abs(shut.Degrees()) > 1e-6 {
		t.Errorf("under the far panel it shuts to %g degrees, want 0", shut.Degrees())
	}
	hosts := map[string]string{"sail.strip.pull": "sail", "sail.strip.anchor": "page"}
	for _, j := range p.Joints {
		host, ok := hosts[j.ID]
		if !ok {
			continue
		}
		delete(hosts, j.ID)
		if j.Host != host || j.Part != "sail.strip" || j.Length != 14 || j.Depth != 10 {
			t.Errorf("joint %+v", j)
		}
		for _, g := range p.Part(host).Glue {
			if g.Joint == j.ID && (math.Abs(g.Path.Area()-140) > 1e-9 || g.OnBack != (host == "sail")) {
				t.Errorf("mark %+v on %s", g, host)
			}
		}
	}
	if len(hosts) > 0 {
		t.Errorf("not glued: %v", hosts)
	}
	// On the left page, from 19 on, in the middle of the tent.
	for _, g := range p.Part("page").Glue {
		if g.Joint == "sail.strip.anchor" {
			if box := g.Path.Bounds(); box.Max.Sub(geom.Vec2{X: -19, Y: 77}).Norm() > 1e-9 || box.Min.Sub(geom.Vec2{X: -29, Y: 63}).Norm() > 1e-9 {
				t.Errorf("anchored at %+v", box)
			}
		}
	}
}

// The window for an unguided strip is as high as it rises, a caliper and the
// clearance of a slot.
func TestWindowOfUnguidedStrip(t *testing.T) {
	a, p := cleanPattern(t, tentDesign(`"fixed_offset":5,"travel":40,"guided":false,"strip":{"width":14}`))
	rise := a.Strips[0].Gap.Rise
	if rise <= 1 {
		t.Fatalf("the strip rises by %g only", rise)
	}
	tab := func(long float64) float64 { return 10*long - 10*10*math.Tan(35*math.Pi/180)/2 }
	want := 60*75 + 2*tab(30-7.35) - 14.7*(rise+0.5)
	if got := p.Part("sail").Area(); math.Abs(got-want) > 1e-6 {
		t.Errorf("area of the tent %g, want %g", got, want)
	}
}

func TestStripThatLeavesNoTab(t *testing.T) {
	a := assembly(t, tentDesign(`"fixed_offset":20,"travel":38,"strip":{"width":60}`))
	p := mustMake(t, a, DefaultOptions())
	found := false
	for _, problem := range p.Problems {
		found = found || problem.Code == CodeNoTab && problem.Pointer == "/mechanisms/0/strip/width"
	}
	if !found {
		t.Errorf("got %+v, want %s", p.Problems, CodeNoTab)
	}
}
