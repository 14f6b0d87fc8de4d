package measure

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

func compile(t rapid.TB, document string) *kinematics.Assembly {
	t.Helper()
	d, err := design.Decode([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

func spread(mechanisms string) string {
	return `{"spread":{"page_width":130,"page_height":180},"mechanisms":[` + mechanisms + `]}`
}

const (
	quay = `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":80,"left":{"base_offset":30,"panel_width":50}}`
	tent = `{"id":"sail","kind":"slide_tent","on":{"panel":"page.right"},"from":60,"to":110,"fixed_offset":20,"near_width":30,"far_width":35,"travel":30,"strip":{"width":14}}`
	vee  = `{"id":"light","kind":"v_fold","on":{"fold":"gutter"},"at":90,"left":{"base_angle":45,"panel_angle":60,"base_length":50},"ridge_length":40}`
)

func example(t testing.TB, name string) *kinematics.Assembly {
	t.Helper()
	document, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	return compile(t, string(document))
}

// take is a measure at an opening in degrees, in the document's units.
func take(t rapid.TB, a *kinematics.Assembly, id string, opening float64) float64 {
	t.Helper()
	m, ok := Find(a, id)
	if !ok {
		t.Fatalf("no measure %s", id)
	}
	p := a.NewPose()
	a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(opening)})
	taken := NewGauge(a).Take(&m, p)
	return taken.Value / m.Scale
}

// Source: the section of a tent of panels 50 on lines 30 from the gutter: at an
// opening t the lines are 30·sin(t/2) to the sides and 30·cos(t/2) up, and the
// ridge √(50² - (30·sin(t/2))²) above them. A point v up a panel is that part of
// the way to the ridge. Shut, the ridge is 80 from the gutter.
func TestMeasuresOfPlaces(t *testing.T) {
	a := compile(t, spread(quay+","+vee))
	for _, opening := range []float64{20, 60, 113, 180} {
		sin, cos := math.Sincos(opening / 2 * math.Pi / 180)
		rise := math.Sqrt(50*50 - 900*sin*sin)
		ridge := 30*cos + rise
		for id, want := range map[string]float64{
			"height.quay":                                 ridge,
			"height.quay.left":                            ridge,
			"height.quay.ridge@end":                       ridge,
			"height.quay.left@7:20":                       30*cos + 0.4*rise,
			"across.quay.left@7:20":                       -30 * sin * 0.6,
			"along.quay.left@7:20":                        57,
			"across.quay.right_base@end":                  30 * sin,
			"along.quay.ridge@start":                      50,
			"along.quay.ridge@end":                        80,
			"distance.quay.left@5:0~quay.right@5:0":       60 * sin,
			"distance.quay.ridge@start~quay.left@corner0": 50,
			"distance.gutter@start~page.right@0:100":      100,
		} {
			if got := take(t, a, id, opening); math.Abs(got-want) > 1e-9 {
				t.Errorf("%s at %g: %.12g, want %.12g", id, opening, got, want)
			}
		}
		if got := take(t, a, "inset.quay", opening); !math.IsNaN(got) {
			t.Errorf("inset at %g is %g", opening, got)
		}
	}
	// Shut, the ridge of the V is its 40 long, at 105 from the gutter's direction.
	for id, want := range map[string]float64{"inset.quay": 130 - 80, "inset.quay.left": 50, "inset.light": 90 + 40*math.Cos(105*math.Pi/180)} {
		want = min(want, 50)
		if id == "inset.light" {
			sin, cos := math.Sincos(45 * math.Pi / 180)
			want = min(180-(90+50*cos), 130-50*sin, 90+40*math.Cos(105*math.Pi/180), 130-40*math.Sin(105*math.Pi/180))
		}
		if got := take(t, a, id, 0); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %.12g, want %.12g", id, got, want)
		}
	}
}

// Source: two tents of one section side by side keep their gap, and the nearest
// to a page of a panel glued to it is the glue.
func TestClearanceOfTwoThings(t *testing.T) {
	a := compile(t, spread(tentAt("quay", 20, 40, 30, 50)+","+tentAt("shed", 52, 80, 30, 50)))
	for id, want := range map[string]float64{
		"clearance.quay~shed": 12, "clearance.shed~quay.left": 12, "clearance.quay~page.left": 0,
	} {
		if got := take(t, a, id, 113); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %.12g, want %g", id, got, want)
		}
	}
}

func TestNamesThatAreNone(t *testing.T) {
	a := compile(t, spread(quay+","+tent))
	for _, id := range []string{
		"", "height.", "height.pier", "width", "across.quay", "across.quay.left", "across.quay.left@", "across.quay.left@1",
		"across.quay.left@1:", "across.quay.left@1:x", "across.quay.left@NaN:0", "across.quay.left@1:1e9", "across.quay.left@corner4",
		"across.quay.left@corner-1", "across.gutter@middle", "across.quay@start", "distance.gutter@start", "distance.gutter@start~",
		"inset", "inset.gutter", "clearance.quay", "clearance.quay~quay", "clearance.quay~gutter", "fold.quay", "tilt.gutter", "travel.quay",
		"height.quay.left@inf:0",
	} {
		if m, ok := Find(a, id); ok {
			t.Errorf("%q is found: %+v", id, m)
		}
	}
}

func FuzzFind(f *testing.F) {
	d, err := design.Decode([]byte(spread(quay + "," + tent)))
	if err != nil {
		f.Fatal(err)
	}
	a := kinematics.Compile(d)
	p := a.NewPose()
	a.PoseInto(p, kinematics.Drive{Opening: 1})
	for _, m := range List(a) {
		f.Add(m.ID)
	}
	for _, id := range []string{"across.quay.left@7:20", "distance.gutter@start~page.left@corner2", "clearance.quay~sail", "inset.sail"} {
		f.Add(id)
	}
	f.Fuzz(func(t *testing.T, id string) {
		m, ok := Find(a, id)
		if !ok {
			return
		}
		if again, _ := Find(a, m.ID); again != m || m.ID != id {
			t.Errorf("%q is found as %q", id, m.ID)
		}
		taken := NewGauge(a).Take(&m, p)
		if math.IsInf(taken.Value, 0) {
			t.Errorf("%q is endless", id)
		}
	})
}

// all are measures of every kind that the design has.
func all(a *kinematics.Assembly) []Measure {
	list := List(a)
	add := func(format string, args ...any) {
		if m, ok := Find(a, fmt.Sprintf(format, args...)); ok {
			list = append(list, m)
		}
	}
	for i := range a.Panels {
		id := a.Panels[i].ID
		add("height.%s", id)
		add("inset.%s", id)
		add("across.%s@3:4", id)
		add("along.%s@corner1", id)
		add("distance.%s@5:2~gutter@end", id)
	}
	for i := range a.Folds {
		add("height.%s@end", a.Folds[i].ID)
	}
	for i := range a.Design.Mechanisms {
		add("height.%s", a.Design.Mechanisms[i].ID)
		for k := range i {
			add("clearance.%s~%s", a.Design.Mechanisms[k].ID, a.Design.Mechanisms[i].ID)
		}
	}
	return list
}

// ridders is the derivative of f at 0 by Ridders' extrapolation of central
// differences (C. Ridders, Adv. Eng. Software 4 (1982) 75, from memory), with
// its own estimate of the error.
func ridders(f func(float64) float64, h float64) (slope, fault float64) {
	const shrink, rows = 1.4, 8
	var table [rows][rows]float64
	fault = math.Inf(1)
	for i := range rows {
		table[i][0] = (f(h) - f(-h)) / (2 * h)
		h /= shrink
		power := shrink * shrink
		for k := 1; k <= i; k++ {
			table[i][k] = (table[i][k-1]*power - table[i-1][k-1]) / (power - 1)
			power *= shrink * shrink
			worst := max(math.Abs(table[i][k]-table[i][k-1]), math.Abs(table[i][k]-table[i-1][k-1]))
			if worst < fault {
				slope, fault = table[i][k], worst
			}
		}
	}
	return slope, fault
}

// Every measure of every example changes with every number as its gradient says,
// which is held against differences of the whole chain, document to measure.
// Where the differences do not settle, at a corner or at a stop, nothing is
// compared.
func TestGradientsOfExamples(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	compared, worst := map[Kind]int{}, 0.0
	for _, name := range []string{"harbour", "harbour_office", "quay", "lighthouse", "gull", "sail", "crate", "deck", "ferry"} {
		a := example(t, name)
		if a.Design.Size() == 0 || len(a.Design.Mechanisms) > 10 {
			continue
		}
		for _, part := range []float64{0, 0.55, 0.9} {
			drive := kinematics.Drive{Opening: geom.Angle(part * float64(a.Design.Spread.OpensTo))}
			var readings []Reading
			for _, m := range all(a) {
				readings = append(readings, Reading{m, drive})
			}
			pointers := []string{"/spread/page_width", "/spread/page_height"}
			for i := range a.Design.Mechanisms {
				for _, n := range a.Design.Numbers(i) {
					// Past the end of its range a number means nothing.
					if lo, hi := n.Range(a.Design); n.Get() > lo && n.Get() < hi {
						pointers = append(pointers, n.Pointer)
					}
				}
			}
			directions := make([]Direction, len(pointers))
			for i, pointer := range pointers {
				directions[i] = Direction{pointer: 1}
			}
			aim, err := NewAim(a, directions)
			if err != nil {
				t.Fatal(err)
			}
			values := make([]float64, len(readings))
			gradient := make([][]float64, len(readings))
			for i := range gradient {
				gradient[i] = make([]float64, len(pointers))
			}
			NewReadings(a, readings).Gradients(values, gradient, aim)
			for k, pointer := range pointers {
				at := sampled(a.Design, readings, pointer)
				for i := range readings {
					slope := gradient[i][k]
					if math.IsNaN(slope) {
						continue
					}
					want, fault := ridders(func(h float64) float64 { return at(h)[i] }, 1e-3)
					if math.IsNaN(want) || fault > 1e-7*(1+math.Abs(want)) {
						continue
					}
					const small = 1e-5
					if corner := (at(small)[i] + at(-small)[i] - 2*values[i]) / small; math.Abs(corner) > 1e-3*(1+math.Abs(want)) {
						continue
					}
					compared[readings[i].Measure.Kind]++
					off := math.Abs(slope-want) / (1 + math.Abs(want))
					worst = max(worst, off)
					if off > 1e-6 {
						t.Errorf("%s: %s at %.3g by %s: %.9g, differences say %.9g", name, readings[i].Measure.ID, part, pointer, slope, want)
					}
				}
			}
		}
	}
	t.Logf("compared %v, worst %.2g", compared, worst)
	for _, k := range []Kind{Height, Across, Along, Fold, Tilt, Lean, Travel, Inset, Distance, Clearance} {
		if compared[k] < 50 {
			t.Errorf("%s compared %d times: the test shows little", k, compared[k])
		}
	}
}

// sampled gives the readings with one number changed by h, in mm or radians,
// remembering what was asked before.
func sampled(d *design.Design, readings []Reading, pointer string) func(h float64) []float64 {
	known := map[float64][]float64{}
	return func(h float64) []float64 {
		if values, ok := known[h]; ok {
			return values
		}
		changed := d.Clone()
		n, _ := changed.Number(pointer)
		unit := d.Units.PerUnit()
		if n.Angle {
			unit = float64(geom.Degrees(1))
		}
		n.Set(n.Get() + h/unit)
		values := make([]float64, len(readings))
		NewReadings(kinematics.Compile(changed), readings).Values(values)
		known[h] = values
		return values
	}
}

// A direction is the sum of its numbers, weighted, and has a rate when shut that
// they do not have by themselves.
func TestDirections(t *testing.T) {
	a := compile(t, spread(`{"id":"light","kind":"v_fold","on":{"fold":"gutter"},"at":90,"left":{"base_angle":45,"panel_angle":60,"base_length":50},
	  "right":{"base_angle":50,"panel_angle":55,"base_length":50},"ridge_length":40}`))
	left, right := "/mechanisms/0/left/panel_angle", "/mechanisms/0/right/panel_angle"
	aim, err := NewAim(a, []Direction{{left: 1}, {right: 1}, {left: 2, right: 2, "/spread/page_width": 1}})
	if err != nil {
		t.Fatal(err)
	}
	height, _ := Find(a, "height.light.ridge@end")
	inset, _ := Find(a, "inset.light")
	values := make([]float64, 2)
	rows := [][]float64{make([]float64, 3), make([]float64, 3)}
	NewReadings(a, []Reading{{height, kinematics.Drive{Opening: 1.5}}, {inset, kinematics.Drive{}}}).Gradients(values, rows, aim)
	if sum := 2 * (rows[0][0] + rows[0][1]); math.Abs(sum-rows[0][2]) > 1e-9 || sum == 0 {
		t.Errorf("%g, want %g", rows[0][2], sum)
	}
	if !math.IsNaN(rows[1][0]) || !math.IsNaN(rows[1][1]) || math.IsNaN(rows[1][2]) {
		t.Errorf("rates when shut: %v", rows[1])
	}
	for _, d := range []Direction{{"/spread/title": 1}, {"/mechanisms/1/at": 1}, {"/mechanisms/0/lean": 1, left: 1}, {"": 0}} {
		if _, err := NewAim(a, []Direction{d}); err == nil {
			t.Errorf("%v is taken", d)
		}
	}
}
