package fit

import (
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// harbourTask asks for five things of the harbour example by six numbers; they
// are those of a lighthouse a little steeper and taller.
func harbourTask(t testing.TB) *Task {
	d := example(t, "harbour")
	planted := map[string]float64{
		"/mechanisms/0/left/base_angle": 60, "/mechanisms/0/left/panel_angle": 86, "/mechanisms/0/ridge_length": 72,
		"/mechanisms/3/at": 26, "/mechanisms/3/left/panel_angle": 72, "/mechanisms/5/place/v": 26,
	}
	task := &Task{Design: d, Keep: keepAll(5)}
	there := d.Clone()
	for _, pointer := range []string{
		"/mechanisms/0/left/base_angle", "/mechanisms/0/left/panel_angle", "/mechanisms/0/ridge_length",
		"/mechanisms/3/at", "/mechanisms/3/left/panel_angle", "/mechanisms/5/place/v",
	} {
		n, _ := there.Number(pointer)
		n.Set(planted[pointer])
		task.Vary = append(task.Vary, Vary{Pointer: pointer, Step: 0.5})
	}
	for _, g := range []Goal{
		equal("height.lighthouse.ridge@end", 180, 0), equal("fold.lighthouse.ridge", 90, 0), equal("height.lamp.figure", 180, 0),
		equal("height.gull_left.ridge@end", 180, 0), equal("tilt.gull_left.left", 120, 0),
	} {
		g.Target = measured(t, there, &g)
		task.Goals = append(task.Goals, g)
	}
	return task
}

// measured is the value a goal's measure has in a design.
func measured(t testing.TB, d *design.Design, g *Goal) float64 {
	t.Helper()
	a := kinematics.Compile(d)
	m, ok := measure.Find(a, g.Measure)
	if !ok {
		t.Fatalf("no measure %s", g.Measure)
	}
	p := a.NewPose()
	a.PoseInto(p, kinematics.Drive{Opening: *g.Opening})
	taken := measure.NewGauge(a).Take(&m, p)
	return taken.Value / m.Scale
}

func TestHarbourTask(t *testing.T) {
	a := solve(t, harbourTask(t))
	if show(t, a); !a.Met {
		t.Error("not met")
	}
}

// BenchmarkHarbour is the whole of a task: eight searches, rounding, and the
// checks before and after.
func BenchmarkHarbour(b *testing.B) {
	task := harbourTask(b)
	for b.Loop() {
		solve(b, task)
	}
}
