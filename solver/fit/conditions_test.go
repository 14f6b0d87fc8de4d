package fit

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"foldwright/solver/check"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
)

// uneven draws a V or a parallel fold of two different sides that shuts flat, in
// decimals, and goals for it that are not far.
func uneven(t testing.TB, draw *rand.Rand) *Task {
	between := func(lo, hi int) float64 { return float64(lo+draw.IntN(hi-lo+1)) / 2 }
	a1, a2 := between(90, 130), between(90, 130)
	p1 := max(a1, a2) + between(30, 60)
	kind, base, panel := "v_fold", "base_angle", "panel_angle"
	rest := fmt.Sprintf(`"at":90,"ridge_length":%g`, between(70, 110))
	length := `,"base_length":50`
	if draw.IntN(2) == 0 {
		kind, base, panel, length = "parallel_fold", "base_offset", "panel_width", ""
		rest = `"from":40,"to":80`
		a1, a2 = a1/3, a2/3
		p1 = max(a1, a2) + between(20, 40)
	}
	document := fmt.Sprintf(`{"spread":{"page_width":130,"page_height":180,"margin":5},"mechanisms":[
	  {"id":"x","kind":%q,"on":{"fold":"gutter"},%s,"left":{%q:%.12g,%q:%.12g%s},"right":{%q:%.12g,%q:%.12g%s}}]}`,
		kind, rest, base, a1, panel, p1, length, base, a2, panel, a1+p1-a2, length)
	task := &Task{Design: decode(t, document), Keep: keepAll(5), Seed: draw.Uint64(), Starts: 3}
	for _, field := range []string{"left/" + base, "left/" + panel, "right/" + base, "right/" + panel} {
		task.Vary = append(task.Vary, Vary{Pointer: design.Point(0, field), Step: []float64{0.1, 0.25, 0.5, 1}[draw.IntN(4)]})
	}
	for _, g := range []Goal{equal("fold.x.ridge", 90, 0), equal("tilt.x.left", 140, 0), equal("height.x.ridge@end", 180, 0)} {
		g.Target = measured(t, task.Design, &g) + 10*draw.Float64() - 5
		task.Goals = append(task.Goals, g)
	}
	return task
}

// After rounding a mechanism shuts flat to the last digit, lies where it should,
// opens, and the checks find no new error; every number that is free is on its
// grid, and no other number is touched.
func TestConditionsHoldAfterRounding(t *testing.T) {
	draw := rand.New(rand.NewPCG(21, 8))
	changed := 0
	for range 60 {
		task := uneven(t, draw)
		a := solve(t, task)
		terms := flatTerms(task.Design, 0)
		sum := 0.0
		for _, term := range terms {
			n, _ := a.Design.Number(term.pointer)
			sum += term.sign * n.Get()
		}
		if math.Abs(sum) > 1e-9 {
			t.Errorf("sides differ by %g: %+v", sum, a.Numbers)
		}
		before := check.Design(kinematics.Compile(task.Design))
		for _, f := range check.Design(kinematics.Compile(a.Design)) {
			if f.Severity == finding.Error && !slices.ContainsFunc(before, func(b finding.Finding) bool { return b.Code == f.Code }) {
				t.Errorf("new: %s", f.Message)
			}
			if f.Code == finding.InsideMargin {
				t.Errorf("%s", f.Message)
			}
		}
		off := 0
		for i, n := range a.Numbers {
			if !n.OnGrid {
				off++
			}
			if n.After != n.Before {
				changed++
			}
			if number, _ := a.Design.Number(n.Pointer); math.Abs(number.Get()-n.After) > 1e-9 {
				t.Errorf("number %d is %g in the design, %g told", i, number.Get(), n.After)
			}
		}
		if off > 1 { // what follows the others
			t.Errorf("%d numbers are off their grids: %+v", off, a.Numbers)
		}
		for _, n := range task.Design.Numbers(0) {
			if slices.ContainsFunc(a.Numbers, func(s Setpoint) bool { return s.Pointer == n.Pointer }) {
				continue
			}
			if other, _ := a.Design.Number(n.Pointer); other.Get() != n.Get() {
				t.Errorf("%s has changed", n.Pointer)
			}
		}
	}
	if changed < 60 {
		t.Errorf("%d numbers changed: the test shows little", changed)
	}
}

// The slopes of the conditions are those of their values.
func TestSlopesOfConditions(t *testing.T) {
	draw := rand.New(rand.NewPCG(5, 6))
	compared := map[LimitKind]int{}
	for range 30 {
		task := uneven(t, draw)
		p, err := prepare(task, never)
		if err != nil {
			t.Fatal(err)
		}
		y := p.starts(2)[1]
		at := p.evaluate(y, true)
		if at == nil {
			continue
		}
		const h = 1e-6
		for k := range y {
			step := func(by float64) *point {
				moved := slices.Clone(y)
				moved[k] += by
				return p.evaluate(moved, true)
			}
			up, down := step(h), step(-h)
			if up == nil || down == nil || len(up.rows) != len(at.rows) || len(down.rows) != len(at.rows) {
				continue
			}
			for i := range at.rows {
				if up.rows[i].limit != at.rows[i].limit || down.rows[i].limit != at.rows[i].limit {
					continue
				}
				want := (up.rows[i].value - down.rows[i].value) / (2 * h)
				if bend := (up.rows[i].value + down.rows[i].value - 2*at.rows[i].value) / h; math.Abs(bend) > 1e-3 {
					continue // corners change places
				}
				compared[at.rows[i].limit.Kind]++
				tolerance := 1e-5 * (1 + math.Abs(want))
				if at.rows[i].limit.Kind == AtInset { // taken nearly shut
					tolerance = 1e-4 * (1 + math.Abs(want))
				}
				if math.Abs(want-at.rows[i].slope[k]) > tolerance {
					t.Errorf("%+v: slope %.9g, differences say %.9g", at.rows[i].limit, at.rows[i].slope[k], want)
				}
			}
		}
	}
	for _, kind := range []LimitKind{AtBound, AtInset, AtFullOpen, AtExtent} {
		if compared[kind] < 10 {
			t.Errorf("%s compared %d times", kind, compared[kind])
		}
	}
}

const quay = `{"spread":{"page_width":130,"page_height":180,"margin":5},"mechanisms":[
  {"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":80,"left":{"base_offset":30,"panel_width":50},"right":{"base_offset":35,"panel_width":45}}]}`

// A tent as tall as it can be: shut it reaches 125 from the gutter, 5 from the
// edge. With base lines 30 from the gutter the ridge is √(95² - 30²) high.
func TestLimitOfThePage(t *testing.T) {
	d := decode(t, quay)
	vary := []Vary{{Pointer: "/mechanisms/0/left/panel_width", Step: 0.5}, {Pointer: "/mechanisms/0/right/panel_width", Step: 0.5},
		{Pointer: "/mechanisms/0/right/base_offset", Step: 0.5}}
	a := solve(t, &Task{Design: d, Vary: vary, Keep: Keep{ShutsFlat: true, OpensFully: true, Inside: true, Inset: 5, Symmetric: true, NoNewErrors: true},
		Goals: []Goal{equal("height.quay", 180, 120)}})
	if show(t, a); a.Met || a.Numbers[0].After != 95 || a.Numbers[1].After != 95 || a.Numbers[2].After != 30 {
		t.Errorf("numbers %+v", a.Numbers)
	}
	if want := math.Sqrt(95*95 - 30*30); math.Abs(a.Goals[0].After-want) > 1e-6 {
		t.Errorf("height %g, want %g", a.Goals[0].After, want)
	}
	if len(a.Limits) == 0 || a.Limits[0].Kind != AtInset || a.Limits[0].Value != 5 {
		t.Errorf("limits %+v", a.Limits)
	}
	// Without shutting flat one panel alone could be longer.
	if want := []Party{{Goal: 0}, {Goal: -1, Condition: insidePage}, {Goal: -1, Condition: shutsFlat}}; !slices.Equal(a.Conflict, want) {
		t.Errorf("conflict %+v", a.Conflict)
	}
}

// A bound that is given and holds the answer back is told as a limit and as a
// party to the conflict.
func TestLimitOfABound(t *testing.T) {
	most := 52.0
	a := solve(t, &Task{
		Design: decode(t, quay), Keep: keepAll(5), Goals: []Goal{equal("height.quay", 180, 60)},
		Vary: []Vary{{Pointer: "/mechanisms/0/left/panel_width", Max: &most, Step: 0.5, Tied: []string{"/mechanisms/0/right/panel_width"}}},
	})
	if show(t, a); a.Numbers[0].After != 52 || a.Numbers[1].After != 47 {
		t.Errorf("numbers %+v", a.Numbers)
	}
	if len(a.Limits) != 1 || a.Limits[0] != (Limit{Kind: AtBound, Of: "/mechanisms/0/left/panel_width", Value: 52, Unit: "mm"}) {
		t.Errorf("limits %+v", a.Limits)
	}
	if want := []Party{{Goal: 0}, {Goal: -1, Bounds: "/mechanisms/0/left/panel_width"}}; !slices.Equal(a.Conflict, want) {
		t.Errorf("conflict %+v", a.Conflict)
	}
}

// What lies outside the page and may not be made smaller cannot be brought inside,
// whatever the goal; the condition is named alone, and nothing counts as met.
func TestConditionThatCannotHold(t *testing.T) {
	d := decode(t, quay)
	n, _ := d.Number("/spread/page_width")
	n.Set(80)
	a := solve(t, &Task{Design: d, Keep: keepAll(5), Vary: []Vary{{Pointer: "/mechanisms/0/from"}}, Goals: []Goal{equal("along.quay.ridge@start", 90, 55)}})
	if want := []Party{{Goal: -1, Condition: insidePage}}; a.Met || !a.Goals[0].Met || !slices.Equal(a.Conflict, want) {
		t.Errorf("met %t, goals %+v, conflict %+v", a.Met, a.Goals, a.Conflict)
	}
}

// Goals that are against each other are named without what is not.
func TestGoalsInConflict(t *testing.T) {
	a := solve(t, &Task{
		Design: decode(t, quay), Keep: keepAll(5),
		Goals: []Goal{equal("along.quay.ridge@start", 90, 55), equal("height.quay", 180, 45), equal("height.quay.ridge@start", 180, 50)},
		Vary:  []Vary{{Pointer: "/mechanisms/0/left/panel_width"}, {Pointer: "/mechanisms/0/right/panel_width"}, {Pointer: "/mechanisms/0/from"}},
	})
	if want := []Party{{Goal: 1}, {Goal: 2}}; !slices.Equal(a.Conflict, want) {
		t.Errorf("conflict %+v", a.Conflict)
	}
	if got := a.Goals[1].After; math.Abs(got-47.5) > 0.01 || !a.Goals[0].Met {
		t.Errorf("heights %g, want half way", got)
	}
}

// The same task has the same answer, and one that is stopped ends at once with
// what it has.
func TestSolveIsRepeatable(t *testing.T) {
	first, again := solve(t, harbourTask(t)), solve(t, harbourTask(t))
	if !reflect.DeepEqual(first.Numbers, again.Numbers) || !reflect.DeepEqual(first.Alternatives, again.Alternatives) || first.Steps != again.Steps {
		t.Error("two answers differ")
	}
	asked, told := 0, 0
	a, err := Solve(harbourTask(t), func() bool { asked++; return asked > 5 }, func(done, of int) {
		if told++; done != told || of != DefaultStarts {
			t.Errorf("%d of %d told", done, of)
		}
	})
	if err != nil || a.Steps > 10 || told > 2 {
		t.Errorf("%v, %d steps, %d searches", err, a.Steps, told)
	}
}

// Each fault of a task is named where it is.
func TestRefused(t *testing.T) {
	nan, one, two := math.NaN(), 1.0, 2.0
	goal := equal("height", 180, 50)
	late := equal("height", 181, 50)
	for _, c := range []struct {
		name   string
		vary   []Vary
		goals  []Goal
		starts int
		field  string
		reason Reason
	}{
		{"nothing varies", nil, []Goal{goal}, 0, "vary", Clashes},
		{"too much varies", make([]Vary, MaxVary+1), []Goal{goal}, 0, "vary", TooMany},
		{"no number", []Vary{{Pointer: "/mechanisms/0/kind"}}, []Goal{goal}, 0, "vary/0/pointer", Unknown},
		{"no goals", []Vary{{Pointer: "/mechanisms/0/from"}}, nil, 0, "goals", Clashes},
		{"too many goals", []Vary{{Pointer: "/mechanisms/0/from"}}, make([]Goal, MaxGoals+1), 0, "goals", TooMany},
		{"not finite", []Vary{{Pointer: "/mechanisms/0/from", Min: &nan}}, []Goal{goal}, 0, "vary/0", Outside},
		{"reversed", []Vary{{Pointer: "/mechanisms/0/from", Min: &two, Max: &one}}, []Goal{goal}, 0, "vary/0", Clashes},
		{"no grid point", []Vary{{Pointer: "/mechanisms/0/from", Min: &one, Max: &two, Step: 5}}, []Goal{goal}, 0, "vary/0/step", Clashes},
		{"opening", []Vary{{Pointer: "/mechanisms/0/from"}}, []Goal{late}, 0, "goals/0/opening", Outside},
		{"driver", []Vary{{Pointer: "/mechanisms/0/from"}}, []Goal{{Measure: "height", Target: 3, Hand: []Setting{{"door.angle", 1}}}}, 0, "goals/0/drivers/door.angle", Unknown},
		{"weight", []Vary{{Pointer: "/mechanisms/0/from"}}, []Goal{{Measure: "height", Target: 3, Weight: -1}}, 0, "goals/0", Outside},
		{"starts", []Vary{{Pointer: "/mechanisms/0/from"}}, []Goal{goal}, MaxStarts + 1, "starts", Outside},
	} {
		_, err := Solve(&Task{Design: decode(t, quay), Vary: c.vary, Goals: c.goals, Starts: c.starts}, never, nil)
		refused, ok := errors.AsType[*Refused](err)
		if !ok || refused.Faults[0].Field != c.field || refused.Faults[0].Reason != c.reason {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// A tent as high as the page allows: its panels reach 105 mm from the gutter of a
// page 110 wide with a margin of 5, so √(p²-(105-p)²) grows as its base lines near
// the gutter, until there is no room for their tabs. The answer goes there along
// the margin, not straight from the present.
func TestGoesPastWhatTheChecksFind(t *testing.T) {
	d := example(t, "quay")
	task := &Task{
		Design: d, Keep: keepAll(5),
		Vary:  []Vary{{Pointer: "/mechanisms/0/left/base_offset", Step: 0.5}, {Pointer: "/mechanisms/0/left/panel_width", Step: 0.5}},
		Goals: []Goal{{Measure: "height.quay.ridge@end", Sense: AtLeast, Target: 200}},
	}
	a := solve(t, task)
	show(t, a)
	offset, panel := a.Numbers[0].After, a.Numbers[1].After
	if offset+panel != 105 || math.Abs(a.Goals[0].After-math.Sqrt(panel*panel-offset*offset)) > 1e-9 {
		t.Errorf("base lines at %g, panels %g wide, %g high", offset, panel, a.Goals[0].After)
	}
	nearer := d.Clone()
	for pointer, v := range map[string]float64{a.Numbers[0].Pointer: offset - 0.5, a.Numbers[1].Pointer: panel + 0.5} {
		n, _ := nearer.Number(pointer)
		n.Set(v)
	}
	if found := check.Findings(kinematics.Compile(nearer), never); !slices.ContainsFunc(found, func(f finding.Finding) bool { return f.Code == finding.NoRoomForTab }) {
		t.Errorf("half a millimetre nearer to the gutter would do: %+v", found)
	}
	codes := []LimitKind{}
	for _, l := range a.Limits {
		codes = append(codes, l.Kind)
	}
	if !slices.Equal(codes, []LimitKind{AtInset, AtNewFinding}) {
		t.Errorf("limits %v", codes)
	}
}

// The goal could be had but for an error that the checks would find, a strip too
// short for wider panels: so it is against that condition, whatever else holds.
func TestConflictWithTheChecks(t *testing.T) {
	task := &Task{
		Design: example(t, "ferry"), Keep: keepAll(0),
		Vary:  []Vary{{Pointer: "/mechanisms/1/tent/near_width", Step: 0.5, Tied: []string{"/mechanisms/1/tent/far_width"}}},
		Goals: []Goal{{Measure: "height.wave", Target: 25, Hand: []Setting{{Driver: "wave.pull", Value: 20}}}},
	}
	a := solve(t, task)
	if want := []Party{{Goal: 0}, {Goal: -1, Condition: noNewErrors}}; a.Met || !slices.Equal(a.Conflict, want) {
		t.Errorf("met %t, conflict %+v", a.Met, a.Conflict)
	}
	task.Keep.NoNewErrors = false
	if a := solve(t, task); !a.Met || a.Conflict != nil {
		t.Errorf("without the condition: met %t, conflict %+v", a.Met, a.Conflict)
	}
}

// Sides two apart that are tied cannot be made equal: the goal is reached, and
// the task is not met for all that.
func TestTiedSidesCannotBeMadeEqual(t *testing.T) {
	d := decode(t, `{"spread":{"page_width":130,"page_height":180},"mechanisms":[
	  {"id":"q","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":60,"left":{"base_offset":22,"panel_width":34},"right":{"base_offset":24,"panel_width":32}}]}`)
	keep := keepAll(0)
	keep.Symmetric = true
	a := solve(t, &Task{
		Design: d, Keep: keep, Goals: []Goal{{Measure: "height", Target: 30}},
		Vary: []Vary{
			{Pointer: "/mechanisms/0/left/base_offset", Tied: []string{"/mechanisms/0/right/base_offset"}},
			{Pointer: "/mechanisms/0/left/panel_width"}, {Pointer: "/mechanisms/0/right/panel_width"},
		},
	})
	if !a.Goals[0].Met || a.Met || !slices.Equal(a.Conflict, []Party{{Goal: -1, Condition: symmetric}}) {
		t.Errorf("goal met %t, met %t, conflict %+v", a.Goals[0].Met, a.Met, a.Conflict)
	}
}
