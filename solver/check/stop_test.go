package check

import (
	"testing"

	"foldwright/solver/assemble"
	"foldwright/solver/clearance"
	"foldwright/solver/collide"
	"foldwright/solver/kinematics"
	"foldwright/solver/making"
	"foldwright/solver/pattern"
	"foldwright/solver/stack"
	"foldwright/testdata/designs"
)

// Every exam asks whether to go on at least as often as told here, in which it poses
// the design once or looks at one thing of it; and once told to stop it neither asks
// again nor says that it has seen everything.
func TestStop(t *testing.T) {
	document, _ := designs.Read("harbour_office")
	a := kinematics.Compile(decodeDocument(t, document))
	parts, err := pattern.Make(a, pattern.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		name  string
		least int
		what  string
		// run tells whether it was stopped.
		run func(stop func() bool) bool
	}{
		{
			"clearance", 181 + 81 + 41*len(a.Drivers) + 91,
			"a degree apart, two from 20 degrees, each driver's stroke and two degrees apart, ends included",
			func(stop func() bool) bool {
				return clearance.Examine(a, nil, clearance.Everything, stop).Stopped
			},
		},
		{"collide", len(a.Panels) + 16*len(a.Drivers), "each panel, and the intervals each driver begins with", func(stop func() bool) bool {
			return collide.Compile(a, stop).Sweep(collide.Options{Stop: stop}).Stopped
		}},
		{"stack", len(a.Panels), "each panel", func(stop func() bool) bool {
			_, err := stack.Judge(a, parts, stack.Options{Stop: stop})
			return err != nil
		}},
		{"making", len(parts.Joints), "each joint", func(stop func() bool) bool {
			_, complete := making.Examine(a, parts, nil, making.Everything, stop)
			return !complete
		}},
		{"assemble", len(parts.Joints), "each joint", func(stop func() bool) bool {
			return len(assemble.MakeUntil(a, parts, stop).Undecided) > 0
		}},
	} {
		t.Run(row.name, func(t *testing.T) {
			asked := 0
			if row.run(func() bool { asked++; return false }) {
				t.Fatal("stopped though not told to")
			}
			most := asked
			if most < row.least {
				t.Errorf("asked %d times, want %d: %s", most, row.least, row.what)
			}
			for _, at := range []int{1, most / 3, most / 2, most - 1} {
				asked = 0
				if !row.run(func() bool { asked++; return asked >= at }) {
					t.Errorf("told to stop at question %d of %d, it went on", at, most)
				}
				if asked > at+len(a.Panels) {
					t.Errorf("told to stop at question %d, asked %d", at, asked)
				}
			}
		})
	}
}

// A remedy that could not be tried to the end is not offered.
func TestNoRemedyOnceStopped(t *testing.T) {
	d := decode(t, pageOf130, quay+`"left":{"base_offset":60,"panel_width":80}}`)
	a := kinematics.Compile(d)
	asked := 0
	Findings(a, func() bool { asked++; return false })
	exams := asked
	asked = 0
	if f := Judge(a, stack.Options{Stop: func() bool { asked++; return false }}).Findings; len(f) != 1 || f[0].Remedy == nil {
		t.Fatalf("%+v", f)
	}
	most := asked
	for at := exams + 1; at < most; at += max(1, (most-exams)/20) {
		asked = 0
		f := Judge(a, stack.Options{Stop: func() bool { asked++; return asked >= at }}).Findings
		if len(f) != 1 || f[0].Remedy != nil {
			t.Fatalf("told to stop at question %d of %d: %+v", at, most, f)
		}
	}
}
