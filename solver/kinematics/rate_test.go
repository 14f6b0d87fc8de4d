package kinematics

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// Everything a rate tells is held here against differences of poses. A central
// difference D(h) errs by a multiple of h²; Richardson's (4D(h) - D(2h))/3 by one
// of h⁴ (any numerical analysis text). It is taken at two steps of their own:
// where they differ by more than what is asked of the rate, differences cannot
// judge, which is next to locks, and the comparison is left out and counted.

// rateTolerance is what a rate may be off, as a fraction of its size, or of the
// model's size for lengths and of 1 for angles where those are larger.
const rateTolerance = 1e-7

var differenceSteps = [2]float64{1e-3, 3e-4} // rad or mm

// observable is one number of a pose.
type observable struct {
	name  string
	value float64
	scale float64
}

// nowhere is where things are that are not posed.
var (
	nowhere      = geom.Vec3{X: math.NaN(), Y: math.NaN(), Z: math.NaN()}
	hingeNowhere = Hinge{Origin: nowhere, S: nowhere, H: nowhere, N: nowhere, Sin: math.NaN(), Cos: math.NaN()}
)

// observe lists the numbers of a pose, in a fixed order. A panel or fold that is
// not posed gives NaN.
func observe(a *Assembly, p *Pose) []observable {
	var list []observable
	size := a.Design.Size()
	vector := func(name string, v geom.Vec3, scale float64) {
		list = append(list, observable{name + ".x", v.X, scale}, observable{name + ".y", v.Y, scale}, observable{name + ".z", v.Z, scale})
	}
	for i := range a.Panels {
		f, id := p.Panels[i], a.Panels[i].ID
		if !p.Has(i) {
			f = geom.Frame{Origin: nowhere, X: nowhere, Y: nowhere}
		}
		vector(id+" origin", f.Origin, size)
		vector(id+" X", f.X, 1)
		vector(id+" Y", f.Y, 1)
		for j, q := range a.Panels[i].Outline {
			list = append(list, observable{fmt.Sprint(id, " flat ", j, ".u"), q.X, size}, observable{fmt.Sprint(id, " flat ", j, ".v"), q.Y, size})
			vector(fmt.Sprint(id, " vertex ", j), f.At(q), size)
		}
	}
	for i := range a.Folds {
		id := a.Folds[i].ID
		angle, ends, h := float64(p.FoldAngle(i)), p.FoldEnds(i), p.hinges[i]
		if !p.HasFold(i) {
			angle, ends, h = nowhere.X, [2]geom.Vec3{nowhere, nowhere}, hingeNowhere
		}
		list = append(list, observable{id + " angle", angle, 1})
		vector(id+" start", ends[0], size)
		vector(id+" end", ends[1], size)
		if a.hinged[i] {
			vector(id+" hinge origin", h.Origin, size)
			vector(id+" hinge S", h.S, 1)
			vector(id+" hinge H", h.H, 1)
			vector(id+" hinge N", h.N, 1)
			list = append(list, observable{id + " hinge sin", h.Sin, 1}, observable{id + " hinge cos", h.Cos, 1})
		}
	}
	for i := range a.Strips {
		list = append(list, observable{a.Strips[i].ID, p.Strips[i].Travel, size})
	}
	return append(list, observable{"height", p.Height(), size})
}

// observeRate lists the rates of the same numbers; NaN where there is none.
func observeRate(a *Assembly, r *Rate) []float64 {
	var list []float64
	vector := func(v geom.Vec3) { list = append(list, v.X, v.Y, v.Z) }
	for i := range a.Panels {
		f := r.Panels[i]
		if !r.Has(i) {
			f = geom.Frame{Origin: nowhere, X: nowhere, Y: nowhere}
		}
		vector(f.Origin)
		vector(f.X)
		vector(f.Y)
		for j := range a.Panels[i].Outline {
			flat := r.FlatRate(i, j)
			list = append(list, flat.X, flat.Y)
			v := r.VertexRate(i, j)
			if !r.Has(i) {
				v = nowhere
			}
			vector(v)
		}
	}
	for i := range a.Folds {
		exists := a.Folds[i].Mechanism == Spread || r.Exists[a.Folds[i].Mechanism]
		angle, ends := r.FoldAngle(i), r.FoldEnds(i)
		h := r.hinges[i]
		if !exists {
			angle, ends, h = nowhere.X, [2]geom.Vec3{nowhere, nowhere}, hingeNowhere
		}
		list = append(list, angle)
		vector(ends[0])
		vector(ends[1])
		if a.hinged[i] {
			vector(h.Origin)
			vector(h.S)
			vector(h.H)
			vector(h.N)
			list = append(list, h.Sin, h.Cos)
		}
	}
	for i := range a.Strips {
		list = append(list, r.Travel(i))
	}
	if heightIsACorner(a, r) {
		return append(list, math.NaN())
	}
	return append(list, r.Height())
}

// heightIsACorner tells whether two vertices that do not move alike are about
// equally high.
func heightIsACorner(a *Assembly, r *Rate) bool {
	const near = 0.01 // mm
	height, rate := r.pose.Height(), r.Height()
	for i := range a.Panels {
		for j, v := range r.pose.AppendVertices(nil, i) {
			if a.Panels[i].Mechanism != Spread && math.Abs(v.Z-height) < near && math.Abs(r.VertexRate(i, j).Z-rate) > 1e-9*a.Design.Size() {
				return true
			}
		}
	}
	return height < near
}

// variation is one thing to vary: its seed, and the pose with it changed by h.
type variation struct {
	name string
	seed Seed
	pose func(h float64) (*Assembly, *Pose)
}

// variations are the opening, the drivers and the measurements of an assembly.
func variations(t rapid.TB, a *Assembly, drive Drive) []variation {
	at := func(b *Assembly, d Drive) (*Assembly, *Pose) {
		p := b.NewPose()
		b.PoseInto(p, d)
		return b, p
	}
	list := []variation{{"opening", a.SeedOpening(), func(h float64) (*Assembly, *Pose) {
		d := drive
		d.Opening += geom.Angle(h)
		return at(a, d)
	}}}
	for i := range a.Drivers {
		list = append(list, variation{a.Drivers[i].ID, a.SeedDriver(i), func(h float64) (*Assembly, *Pose) {
			d := drive
			d.Hand = slices.Clone(drive.Hand)
			d.Hand[i] += h
			return at(a, d)
		}})
	}
	pointers := []string{"/spread/page_width", "/spread/page_height", "/spread/margin"}
	for i := range a.Design.Mechanisms {
		for _, n := range a.Design.Numbers(i) {
			pointers = append(pointers, n.Pointer)
		}
	}
	for _, pointer := range pointers {
		seed, ok := a.SeedNumber(pointer)
		if !ok {
			t.Fatalf("no seed for %s", pointer)
		}
		list = append(list, variation{pointer, seed, func(h float64) (*Assembly, *Pose) {
			changed := a.Design.Clone()
			n, _ := changed.Number(pointer)
			if n.Angle {
				h = geom.Angle(h).Degrees()
			}
			n.Set(n.Get() + h)
			return at(Compile(changed), drive)
		}})
	}
	return list
}

// comparisons counts what was compared with differences, and what they could
// not judge.
type comparisons struct {
	made, left int
	worst      float64
	missing    map[string]bool // kinds of mechanisms without a derivative
}

// compare holds every rate at a pose against differences.
func (c *comparisons) compare(t rapid.TB, a *Assembly, drive Drive) {
	t.Helper()
	c.compareSome(t, a, drive, variations(t, a, drive))
}

func (c *comparisons) compareSome(t rapid.TB, a *Assembly, drive Drive, varied []variation) {
	t.Helper()
	p, r := a.NewPose(), a.NewRate()
	a.PoseInto(p, drive)
	here := observe(a, p)
	for _, v := range varied {
		a.RateInto(r, p, v.seed)
		for m := range r.Exists {
			if p.Reach[m] == Reached && !r.Exists[m] {
				if c.missing == nil {
					c.missing = map[string]bool{}
				}
				c.missing[string(a.Design.Mechanisms[m].Kind)] = true
			}
		}
		rates := observeRate(a, r)
		var estimates [2][]float64
		for i, h := range differenceSteps {
			estimates[i] = richardson(v, h, len(here))
		}
		if estimates[0] == nil || estimates[1] == nil {
			c.left++
			continue
		}
		for i, o := range here {
			coarse, fine := estimates[0][i], estimates[1][i]
			if math.IsNaN(coarse) || math.IsNaN(fine) || math.IsNaN(rates[i]) {
				continue
			}
			allowed := rateTolerance * max(o.scale, math.Abs(fine))
			if math.Abs(coarse-fine) > allowed/10 {
				c.left++
				continue
			}
			off := math.Abs(rates[i] - fine)
			if !(off <= allowed) && kinked(v, i, o) {
				c.left++
				continue
			}
			if !(off <= allowed) {
				t.Fatalf("%s by %s at %g degrees, hand %v: rate %.12g, differences give %.12g and %.12g in %s",
					o.name, v.name, drive.Opening.Degrees(), drive.Hand, rates[i], coarse, fine, describe(a))
			}
			c.made++
			c.worst = max(c.worst, off/max(o.scale, math.Abs(fine)))
		}
	}
}

// kinked tells whether an observable turns a corner here, as the height does
// where two corners are equally high: there it has a rate to each side, and the
// differences mean nothing.
func kinked(v variation, i int, o observable) bool {
	h := differenceSteps[len(differenceSteps)-1]
	before, after := observe(v.pose(-h)), observe(v.pose(h))
	return math.Abs(before[i].value+after[i].value-2*o.value) > 1e-3*h*max(o.scale, 1)
}

func describe(a *Assembly) string {
	text := ""
	for i := range a.Design.Mechanisms {
		m := &a.Design.Mechanisms[i]
		text += fmt.Sprintf("\n%s %s on %+v: %+v", m.ID, m.Kind, m.On, m.Spec)
	}
	return text
}

// richardson estimates the derivatives of all observables; nil where a curve is
// flattened to another number of chords on the way.
func richardson(v variation, h float64, count int) []float64 {
	var at [4][]observable
	for i, step := range [4]float64{-2 * h, -h, h, 2 * h} {
		at[i] = observe(v.pose(step))
		if len(at[i]) != count {
			return nil
		}
	}
	out := make([]float64, count)
	for i := range out {
		difference := func(j, k int) float64 { return at[k][i].value - at[j][i].value }
		out[i] = (8*difference(1, 2) - difference(0, 3)) / (12 * h)
	}
	return out
}

// midway puts every hand driver a third of the way along its range.
func midway(a *Assembly) []float64 {
	hand := a.Rest()
	for i, d := range a.Drivers {
		hand[i] = d.Min + (d.Max-d.Min)/3
	}
	return hand
}

func TestRatesOfEveryKind(t *testing.T) {
	forEveryKind(t, func(t *testing.T, a *Assembly, _ *design.KindInfo) {
		c := comparisons{}
		for _, degrees := range []float64{12, 61, 90, 133, 172} {
			c.compare(t, a, Drive{Opening: geom.Degrees(degrees), Hand: midway(a)})
		}
		if len(c.missing) > 0 {
			t.Errorf("no derivative of %v", c.missing)
		}
		if c.made < 500 || c.left*20 > c.made {
			t.Errorf("%d rates compared, %d left out", c.made, c.left)
		}
		t.Logf("%d rates, worst %.1e off", c.made, c.worst)
	})
}

// shaped has every measurement that the samples leave out: sides of their own,
// trims, profiles, places of strips and supports, and hosts seen from all sides.
const shaped = `
	{"id":"hull","kind":"v_fold","on":{"fold":"gutter"},"at":100,"apex_trim":6,"lean":"toward","ridge_length":80,
		"left":{"base_angle":125,"panel_angle":75,"base_length":60,"profile":"M0 0 C 0.3 0.2 0.6 0.3 1 0"},
		"right":{"base_angle":130,"panel_angle":80,"base_length":50}},
	{"id":"hold","kind":"parallel_fold","on":{"fold":"hull.right_base","side":"inner"},"from":10,"to":20,
		"left":{"base_offset":8,"panel_width":15,"profile":"M0 0 Q 0.5 0.4 1 0","profile_from":"M0 0 L0.5 0.2 L1 0"},"right":{"base_offset":9,"panel_width":13}},
	{"id":"keel","kind":"box","on":{"fold":"hull.ridge","side":"inner"},"from":10,"to":40,"left_offset":8,"right_offset":11,"height":9,"ends":"out","lid":true,"lid_fold":"in"},
	{"id":"pier","kind":"floating_layer","on":{"fold":"gutter"},"from":150,"to":180,"height":15,"left_extent":50,"right_extent":40,"left_support":30,"right_support":20},
	{"id":"gull","kind":"cut_v","on":{"fold":"pier.layer_fold"},"at":4,"left":{"base_angle":50,"base_length":20},"right":{"base_angle":60,"base_length":18},"ridge_length":14},
	{"id":"sail","kind":"slide_tent","on":{"panel":"page.left"},"from":200,"to":240,"fixed_offset":30,"near_width":40,"far_width":35,"travel":38,"guided":false,"strip":{"at":215}},
	{"id":"net","kind":"slide_tent","on":{"panel":"page.right"},"from":200,"to":240,"fixed_offset":30,"near_width":40,"far_width":40,"travel":38},
	{"id":"hatch","kind":"flap","on":{"panel":"sail.near"},"hinge_length":20,"depth":9,"profile":"M0 0 C 0.2 0.5 0.8 0.5 1 0","place":{"u":3,"v":4,"rotate":8}},
	{"id":"crane","kind":"pull_tab","on":{"panel":"page.left"},"moves":"slide","outline":"M0 0 H14 V20 H0 Z","stroke":15,"place":{"u":30,"v":50,"rotate":25}},
	{"id":"winch","kind":"pull_tab","on":{"panel":"hatch.flap"},"moves":"tent","tent":{"near_width":9,"far_width":9,"along":8},"stroke":8,"place":{"u":12,"v":2,"rotate":70}},
	{"id":"jib","kind":"pivot_arm","on":{"panel":"hull.left"},"outline":"M-2 -2 H30 V2 H-2 Z","crank":8,"crank_angle":110,"link_length":20,"stroke":5,"place":{"u":10,"v":8,"rotate":33}},
	{"id":"net2","kind":"strap","on":{"fold":"winch.ridge"},"from":1,"to":6,"left_offset":2,"right_offset":3},
	{"id":"buoy","kind":"wheel","on":{"panel":"gull.left"},"radius":6,"place":{"u":3,"v":2,"rotate":-40}},
	{"id":"lamp","kind":"figure","on":{"panel":"keel.lid_left"},"outline":"M0 0 H14 V20 H0 Z","place":{"u":3,"v":2,"rotate":-40}}`

func TestRatesOfEveryMeasurement(t *testing.T) {
	a := assemble(t, shaped)
	c := comparisons{}
	for _, degrees := range []float64{35, 88, 140} {
		c.compare(t, a, Drive{Opening: geom.Degrees(degrees), Hand: midway(a)})
	}
	if len(c.missing) > 0 || c.left*20 > c.made {
		t.Errorf("%d rates compared, %d left out; no derivative of %v", c.made, c.left, c.missing)
	}
	t.Logf("%d rates, worst %.1e off", c.made, c.worst)
}

func TestRatesOfDrawnDesigns(t *testing.T) {
	for name, drawn := range map[string]func(*rapid.T) *document{"design": drawDesign, "chain": drawChain} {
		t.Run(name, func(t *testing.T) {
			c := comparisons{}
			rapid.Check(t, func(t *rapid.T) {
				a := drawn(t).compile(t)
				hand := a.Rest()
				for i, d := range a.Drivers {
					hand[i] = d.Min + (d.Max-d.Min)*decimal(t, "hand", 0.1, 0.9)
				}
				drive := Drive{Opening: geom.Degrees(decimal(t, "opening", 2, 178)), Hand: hand}
				varied := variations(t, a, drive)
				some := slices.Clip(varied[:1+len(a.Drivers)])
				for range 4 {
					some = append(some, rapid.SampledFrom(varied).Draw(t, "varied"))
				}
				c.compareSome(t, a, drive, some)
			})
			if c.made < 10000 || c.left*5 > c.made {
				t.Errorf("%d rates compared, %d left out", c.made, c.left)
			}
			t.Logf("%d rates, worst %.1e off, %d left out", c.made, c.worst, c.left)
		})
	}
}

func TestRatesDoNotAllocate(t *testing.T) {
	forEveryKind(t, func(t *testing.T, a *Assembly, _ *design.KindInfo) {
		p, r := a.NewPose(), a.NewRate()
		a.PoseInto(p, Drive{Opening: 1})
		for _, v := range variations(t, a, p.Drive) {
			if n := testing.AllocsPerRun(10, func() { a.RateInto(r, p, v.seed) }); n != 0 {
				t.Errorf("%s: %g allocations", v.name, n)
			}
		}
	})
}
