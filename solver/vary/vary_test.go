package vary

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

const (
	width  = "/mechanisms/0/left/panel_width"
	offset = "/mechanisms/0/left/base_offset"
)

func tent(t *testing.T, openings ...float64) *Task {
	t.Helper()
	d, err := design.Decode([]byte(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[
		{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":8,"to":26,"left":{"base_offset":22,"panel_width":34}}]}`))
	if err != nil {
		t.Fatal(err)
	}
	task := &Task{Design: d}
	m, _ := measure.Find(kinematics.Compile(d), "height")
	for range openings {
		task.Readings = append(task.Readings, measure.Reading{Measure: m, Drive: kinematics.Drive{Opening: d.Spread.OpensTo}})
	}
	return task
}

// Source: a tent with panels p, its base lines a from the gutter, stands √(p²-a²)
// high on the open spread, and cannot open where p < a.
func TestTentOverBothNumbers(t *testing.T) {
	task := tent(t, 180)
	task.Examined = true
	task.Axes = []Axis{{Pointer: width, Values: []float64{30, 34, 38}}, {Pointer: offset, Values: []float64{20, 32}}}
	points, err := Run(task)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range points {
		wide, off := task.Axes[0].Values[i%3], task.Axes[1].Values[i/3]
		if p.At[0] != wide || p.At[1] != off {
			t.Fatalf("point %d is at %v", i, p.At)
		}
		tight := false
		for _, f := range p.Findings {
			tight = tight || f.Code == finding.CannotOpenFully
		}
		if wide < off {
			if !math.IsNaN(p.Values[0]) || !tight {
				t.Errorf("%g wide at %g: %g high, %+v", wide, off, p.Values[0], p.Findings)
			}
			continue
		}
		if want := math.Sqrt(wide*wide - off*off); math.Abs(p.Values[0]-want) > 1e-9 || tight {
			t.Errorf("%g wide at %g: %g high, want %g", wide, off, p.Values[0], want)
		}
	}
	table := Table(task, points, func(int) string { return "height" }, func(v float64) string { return fmt.Sprint(v) })
	if len(table.Series) != 2 || table.Series[1].ID != "height at 32" || table.Series[0].Values[1] != points[1].Values[0] || len(table.At) != 3 {
		t.Errorf("%+v", table)
	}
}

// Tied numbers change by the same amount, so the tent goes on shutting inside
// the page by as much.
func TestTied(t *testing.T) {
	task := tent(t)
	task.Axes = []Axis{{Pointer: width, Tied: []string{offset}, Values: []float64{40}}}
	points, err := Run(task)
	if err != nil {
		t.Fatal(err)
	}
	n, _ := points[0].Assembly.Design.Number(offset)
	if got := n.Get(); math.Abs(got-28) > 1e-12 {
		t.Errorf("the offset is %g, want 22 + 6", got)
	}
}

// Numbers that make no design are told apart from designs that do not work.
func TestNoDesign(t *testing.T) {
	task := tent(t, 180)
	task.Axes = []Axis{{Pointer: "/mechanisms/0/to", Values: []float64{5, 20}}}
	points, err := Run(task)
	if err != nil {
		t.Fatal(err)
	}
	if points[0].Assembly != nil || !math.IsNaN(points[0].Values[0]) || points[1].Assembly == nil {
		t.Errorf("ends before it starts: %+v", points)
	}
}

func TestStop(t *testing.T) {
	task := tent(t)
	task.Axes = []Axis{{Pointer: width, Values: []float64{30, 31}}}
	task.Stop = func() bool { return true }
	if _, err := Run(task); !errors.Is(err, ErrStopped) {
		t.Errorf("got %v", err)
	}
}
