package collide

import (
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

func compileExample(t testing.TB, name string) *kinematics.Assembly {
	t.Helper()
	data, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	d, err := design.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

func name(a *kinematics.Assembly, p Piece) string {
	if p.Strip != None {
		return a.Strips[p.Strip].ID
	}
	return a.Panels[p.Panel].ID
}

func TestExamples(t *testing.T) {
	for _, example := range designs.Names() {
		t.Run(example, func(t *testing.T) {
			a := compileExample(t, example)
			r := Compile(a).Sweep(Options{})
			t.Logf("%d pairs, %d proved, %d at ends, estimated %v", r.Pairs, r.Proved, r.AtEnds, r.Estimated)
			for _, c := range r.Contacts {
				t.Errorf("contact %s %s driver %d: %g to %g, depth %g at %g", name(a, c.Pieces[0]), name(a, c.Pieces[1]), c.Driver, c.From*180/3.14159265, c.To*180/3.14159265, c.Depth, c.Deepest*180/3.14159265)
			}
			for _, c := range r.Undecided {
				t.Errorf("undecided %s %s driver %d: %g to %g", name(a, c.Pieces[0]), name(a, c.Pieces[1]), c.Driver, c.From*180/3.14159265, c.To*180/3.14159265)
			}
		})
	}
}
