package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
	"foldwright/testdata/designs"
)

// extremeTask draws a task with numbers at the bounds that the contract sets, or
// at none: targets, tolerances and weights a millionth or a million.
func extremeTask(draw *rand.Rand, d *design.Design) *Task {
	task := &Task{Design: d, Starts: 1, Seed: draw.Uint64(), Mockup: draw.IntN(4) == 0}
	flag := func() bool { return draw.IntN(3) > 0 }
	task.Keep = Keep{ShutsFlat: flag(), OpensFully: flag(), Inside: flag(), Symmetric: !flag(), Inset: float64(draw.IntN(2) * draw.IntN(2001))}
	var numbers []design.Number
	for i := range d.Mechanisms {
		numbers = append(numbers, d.Numbers(i)...)
	}
	for _, k := range draw.Perm(len(numbers))[:min(len(numbers), 1+draw.IntN(12))] {
		v := Vary{Pointer: numbers[k].Pointer}
		now := numbers[k].Get()
		switch draw.IntN(4) {
		case 0:
			v.Min, v.Max = &now, &now
		case 1:
			v.Max = &now
		}
		v.Step = [...]float64{0, 0, 1e-6, 0.5}[draw.IntN(4)]
		task.Vary = append(task.Vary, v)
	}
	measures := measure.List(kinematics.Compile(d))
	for range 1 + draw.IntN(8)*draw.IntN(8) {
		m := measures[draw.IntN(len(measures))]
		g := Goal{Measure: m.ID, Sense: Sense(draw.IntN(3))}
		g.Target = [...]float64{0, 1e-6, 10, 60, 90, 1e6, -1e6}[draw.IntN(7)]
		g.Tolerance = [...]float64{1e-6, 0, 1e6}[draw.IntN(3)]
		if task.Mockup {
			g.Sense, g.Tolerance = Equal, max(g.Tolerance, 1e-6)
		} else {
			g.Weight = [...]float64{1e-6, 1, 1e6}[draw.IntN(3)]
		}
		if m.Kind != measure.Inset && draw.IntN(2) == 0 {
			at := geom.Degrees([...]float64{0, 1e-6, 90, d.Spread.OpensTo.Degrees()}[draw.IntN(4)])
			g.Opening = &at
		}
		task.Goals = append(task.Goals, g)
	}
	return task
}

// questionsAfter is how often work may ask again once it was told to stop: each
// loop around the one that asked does, and what is done with the best so far.
const questionsAfter = 200

// However far apart the numbers of a task are, the work ends when it is told to,
// counted in questions, and what it has by then is finite.
func TestExtremes(t *testing.T) {
	draw := rand.New(rand.NewPCG(16, 47))
	names := designs.Names()
	refused, stopped, whole := 0, 0, 0
	for range extremeTasks {
		d := example(t, names[draw.IntN(len(names))])
		task := extremeTask(draw, d)
		budget := int(math.Pow(10, 1+3.5*draw.Float64()))
		asked := 0
		a, err := Solve(task, func() bool { asked++; return asked > budget }, nil)
		switch {
		case err != nil:
			refused++
			continue
		case asked > budget+questionsAfter:
			t.Errorf("asked %d times more after it was told to stop", asked-budget)
		case asked > budget:
			stopped++
		default:
			whole++
		}
		for _, n := range a.Numbers {
			if !finite(n.After) || !finite(n.Exact) {
				t.Errorf("%s is %g, before rounding %g", n.Pointer, n.After, n.Exact)
			}
		}
		if len(a.Numbers) > 0 && !finite(a.Exact) && !math.IsNaN(a.Exact) {
			t.Errorf("the misfit is %g", a.Exact)
		}
	}
	t.Logf("%d refused, %d told to stop, %d done before", refused, stopped, whole)
	if stopped < extremeTasks/4 || whole < extremeTasks/10 {
		t.Errorf("%d told to stop, %d done before: the test shows little", stopped, whole)
	}
}

const extremeTasks = 60
