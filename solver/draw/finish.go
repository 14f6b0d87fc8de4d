package draw

import "fmt"

// Scores is how a machine makes creases.
type Scores uint8

const (
	// Scored creases are pressed, or drawn along with an empty pen.
	Scored Scores = iota
	// Perforated creases are cut through in dashes, for stock too thick to
	// press. Those of mountain folds are long and short in turn, so that the two
	// kinds differ without colour.
	Perforated
	// HalfCut creases are cut part of the way through, on the outside of the
	// fold: those of mountain folds on the face that is shown, those of valley
	// folds on its reverse.
	HalfCut
)

// Finish is what a drawing goes through on its way to a machine. The zero value
// takes out what would be worked twice, and nothing else.
type Finish struct {
	Kerf   float64 // what the blade or beam takes away, mm
	Scores Scores
	Dash   Perforation // of creases that are perforated; the ties of half cuts
}

// The ranges of a finish, mm: no beam is wider, no tie longer, and no paper held
// by a shorter one. The shortest dash is minDashCut.
const (
	maxKerf = 2.0
	minTie  = 0.1
	maxTie  = 20.0
	maxCut  = 50.0
)

// Check finds what no machine does; the error, if any, is an *OptionError.
func (f *Finish) Check() error {
	if !(f.Kerf >= 0 && f.Kerf <= maxKerf) {
		return &OptionError{"kerf", fmt.Sprintf("must be from 0 to %g mm", maxKerf)}
	}
	for _, length := range []struct {
		field       string
		value       float64
		least, most float64
	}{{"cut", f.Dash.Cut, minDashCut, maxCut}, {"tie", f.Dash.Tie, minTie, maxTie}} {
		if length.value != 0 && !(length.value >= length.least && length.value <= length.most) {
			return &OptionError{length.field, fmt.Sprintf("must be from %g to %g mm, or 0", length.least, length.most)}
		}
	}
	return nil
}

// Apply gives the finished copy of a drawing, and what cannot be cut to size.
// Lines that are worked twice go only when there is no kerf: with it, each of
// two parts has its own side of a line they share.
func (f *Finish) Apply(d *Drawing) (*Drawing, []CutFinding, error) {
	if err := f.Check(); err != nil {
		return nil, nil, err
	}
	if f.Kerf == 0 {
		single, _, err := RemoveDuplicateLines(d)
		if err != nil {
			return nil, nil, err
		}
		d = single
	}
	if f.Scores != Scored {
		rule, err := f.Dash.rule()
		if err != nil {
			return nil, nil, err
		}
		mountain := rule
		mountain.uneven = mountainUneven
		rule.whole, mountain.whole = f.Scores == HalfCut, f.Scores == HalfCut
		if d, err = inDashes(d, map[Operation]dashRule{ScoreMountain: mountain, ScoreValley: rule}, func(*Mark) {}); err != nil {
			return nil, nil, err
		}
	}
	return Compensate(d, f.Kerf)
}

// mountainUneven makes long dashes four times as long as short ones, and both
// together as long as two even ones.
const mountainUneven = 0.6

// scoreLayers are the names of layers of creases that are not scored, as far as
// the caller has not named them.
var scoreLayers = map[Scores]map[string]string{
	Perforated: {"score_mountain": "perforate_mountain", "score_valley": "perforate_valley"},
	HalfCut:    {"score_mountain": "half_cut_front", "score_valley": "half_cut_reverse"},
}

// Styles are the styles of the finished drawing: of creases the name of the
// layer, and no dash where the line is dashes already.
func (f *Finish) Styles(t StyleTable) StyleTable {
	for _, op := range []Operation{ScoreMountain, ScoreValley} {
		if name, ok := scoreLayers[f.Scores][t[op].Layer]; ok {
			t[op].Layer = name
		}
		if f.Scores == Perforated {
			t[op].Dash = nil
		}
	}
	return t
}
