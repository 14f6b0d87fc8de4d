package draw

import (
	"errors"
	"math"
	"testing"

	"foldwright/solver/geom"
)

// card is a rectangle of 60 by 40 mm with a round hole, and two creases across
// it that meet the outline.
func card(t testing.TB) *Drawing {
	d := sheetOf(t, Cut, path(t, "M0 0 H60 V40 H0 Z"), geom.Circle(geom.Vec2{X: 10, Y: 20}, 3))
	d.Parts[0].Marks = append(d.Parts[0].Marks,
		Mark{Op: ScoreMountain, ID: "up", Path: path(t, "M20 0 V40")},
		Mark{Op: ScoreValley, ID: "down", Path: path(t, "M40 0 V40")})
	return d
}

func TestFinishTakesOutWhatIsWorkedTwice(t *testing.T) {
	d := card(t)
	d.Parts[0].Marks = append(d.Parts[0].Marks, Mark{Op: Cut, ID: "twice", Path: path(t, "M60 10 V30")})
	before := lengths(d, Cut)
	out, _, err := (&Finish{}).Apply(d)
	if err != nil {
		t.Fatal(err)
	}
	if got := lengths(out, Cut); math.Abs(got-(before-20)) > 1e-9 {
		t.Errorf("%g mm of cuts, want %g", got, before-20)
	}
}

// With ties at both ends, dashes of 3 and ties of 1 on 40 mm: ten dashes and
// eleven ties are 41, so all is 40/41 of that.
func TestPerforatedScores(t *testing.T) {
	f := Finish{Scores: Perforated}
	out, _, err := f.Apply(card(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, op := range []Operation{ScoreMountain, ScoreValley} {
		if got, want := lengths(out, op), 30*40/41.0; math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %g mm cut, want %g", op, got, want)
		}
	}
	for _, m := range out.Parts[0].Marks {
		if m.Op != ScoreMountain && m.Op != ScoreValley {
			continue
		}
		var dashes []float64
		for i := range m.Path {
			dashes = append(dashes, m.Path[i:i+1].Length())
		}
		ratio := dashes[0] / dashes[1] // 1.6 to 0.4 for mountains
		if want := map[Operation]float64{ScoreMountain: 4, ScoreValley: 1}[m.Op]; len(dashes) != 10 || math.Abs(ratio-want) > 1e-9 {
			t.Errorf("%s: %d dashes, one %g times the next", m.Op, len(dashes), ratio)
		}
	}
	styles := f.Styles(DefaultStyles())
	if styles[ScoreValley].Layer != "perforate_valley" || styles[ScoreValley].Dash != nil || styles[Cut].Layer != "cut" {
		t.Errorf("%+v", styles[ScoreValley])
	}
}

// A half cut is whole but for ties at its ends and where lines cross it.
func TestHalfCutScores(t *testing.T) {
	d := card(t)
	d.Parts[0].Marks = append(d.Parts[0].Marks, Mark{Op: Cut, ID: "slit", Path: path(t, "M15 25 H25")})
	f := Finish{Scores: HalfCut, Dash: Perforation{Tie: 0.8}}
	out, _, err := f.Apply(d)
	if err != nil {
		t.Fatal(err)
	}
	for op, want := range map[Operation]float64{ScoreMountain: 40 - 3*0.8, ScoreValley: 40 - 2*0.8} {
		if got := lengths(out, op); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %g mm cut, want %g", op, got, want)
		}
	}
	own := DefaultStyles()
	own[ScoreMountain].Layer = "knife 2"
	styles := f.Styles(own)
	if styles[ScoreMountain].Layer != "knife 2" || styles[ScoreValley].Layer != "half_cut_reverse" || styles[ScoreValley].Dash == nil {
		t.Errorf("%+v %+v", styles[ScoreMountain], styles[ScoreValley])
	}
	if err := styles.Check(); err != nil {
		t.Error(err)
	}
}

// Half of a kerf of 0.2 on either side: the outline grows by 0.1 all round with
// round corners, the hole's radius shrinks by 0.1; creases stay.
func TestFinishWithKerf(t *testing.T) {
	out, findings, err := (&Finish{Kerf: 0.2}).Apply(card(t))
	if err != nil || len(findings) > 0 {
		t.Fatal(err, findings)
	}
	want := 200 + 2*math.Pi*0.1 + 2*math.Pi*2.9
	if got := lengths(out, Cut); math.Abs(got-want) > 1e-3 {
		t.Errorf("%g mm of cuts, want %g", got, want)
	}
	if got := lengths(out, ScoreValley); got != 40 {
		t.Errorf("%g mm of creases", got)
	}
	small := sheetOf(t, Cut, path(t, "M0 0 H60 V40 H0 Z"), geom.Circle(geom.Vec2{X: 10, Y: 20}, 0.2))
	if _, findings, err = (&Finish{Kerf: 0.5}).Apply(small); err != nil || len(findings) != 1 || findings[0].Code != HoleLost {
		t.Errorf("%v %+v", err, findings)
	}
	for field, f := range map[string]Finish{
		"kerf": {Kerf: math.NaN()}, "cut": {Dash: Perforation{Cut: 1e-9}}, "tie": {Scores: HalfCut, Dash: Perforation{Tie: 21}},
	} {
		var refused *OptionError
		if _, _, err := f.Apply(card(t)); !errors.As(err, &refused) || refused.Field != field {
			t.Errorf("%s: %v", field, err)
		}
	}
}

// No crease goes missing, whatever the dashes: neither the short dashes of
// mountain folds nor creases too short for their ties.
func TestEveryCreaseIsMade(t *testing.T) {
	short := sheetOf(t, ScoreMountain, path(t, "M0 0 H1"))
	for name, f := range map[string]Finish{
		"short dashes": {Scores: Perforated, Dash: Perforation{Cut: minDashCut, Tie: minTie}},
		"long ties":    {Scores: Perforated, Dash: Perforation{Cut: minDashCut, Tie: maxTie}},
		"half cut":     {Scores: HalfCut, Dash: Perforation{Tie: maxTie}},
	} {
		for _, d := range []*Drawing{card(t), short} {
			before := len(d.Parts[0].Marks)
			out, _, err := f.Apply(d)
			if err != nil || len(out.Parts[0].Marks) != before {
				t.Errorf("%s: %v, %d of %d lines", name, err, len(out.Parts[0].Marks), before)
			}
		}
	}
	// 40 mm of 0.4 and 0.1, all of them there: n dashes and n+1 ties.
	f := Finish{Scores: Perforated, Dash: Perforation{Cut: minDashCut, Tie: minTie}}
	out, _, err := f.Apply(card(t))
	if err != nil {
		t.Fatal(err)
	}
	const n = 80
	if got, want := lengths(out, ScoreMountain), 40*n*0.4/(n*0.4+(n+1)*0.1); math.Abs(got-want) > 1e-9 {
		t.Errorf("%g mm cut, want %g", got, want)
	}
}
