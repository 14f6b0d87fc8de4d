package check

import (
	"math"
	"testing"

	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
)

// What is left of a finding that falls in proportion leads to the least change in a
// few trials. Source: the ends of the walls overlap by 2·25 - 40 = 10, so the box must
// be 10 longer, or each of its sides 5 nearer to the gutter; halving steps of 0.25 to a
// thousandth would take some 20 trials.
func TestLeastChangeTakesFewTrials(t *testing.T) {
	d := decode(t, pageOf130, `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":20,"to":60,"left_offset":25,"height":30}`)
	x := examine(kinematics.Compile(d), nil, everything)
	f := only(t, x.findings, finding.EndsMeet)
	never := func() bool { return false }
	for _, row := range []struct {
		turns []turn
		least float64
	}{{fields(0, 1, "to"), 10}, {fields(0, -1, "left_offset"), 5}} {
		tr := &trial{before: x, d: d, finding: &f, motion: &effort{left: allEffort, stop: never}, layers: &effort{left: allEffort, stop: never}}
		w, ok := tr.open(row.turns)
		if !ok {
			t.Fatalf("%v does not cure", row.turns)
		}
		tr.narrow(&w, 1)
		if math.Abs(w.high-row.least) > 1e-3 || w.low >= row.least {
			t.Errorf("%v: between %g and %g, want %g", row.turns, w.low, w.high, row.least)
		}
		if w.tries > 7 {
			t.Errorf("%v: %d trials", row.turns, w.tries)
		}
	}
}
