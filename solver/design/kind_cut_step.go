package design

// CutStep is a strap cut from its host: two cuts across the fold and three
// creases.
type CutStep struct{ Strap }

var cutStepKind = KindInfo{
	Kind:     "cut_step",
	Summary:  "A step in one piece with its host: two cuts across the fold, three creases.",
	Stands:   OnFold,
	OneSheet: true,
	Panels:   twoPanels,
	Folds:    threeFolds,
	Schema: append(alongFold[:2:2],
		length("left_offset", "how far the cuts reach on the left face; width of the right panel"),
		length("right_offset", "how far the cuts reach on the right face; width of the left panel"),
	),
	Conditions: []string{
		"Stands on a fold between two parts of one sheet: the gutter, a ridge, or a fold of another cut mechanism.",
		"Shuts flat and follows every opening; it lies in the sheet when the fold is flat.",
	},
	decode: func(o *object) Spec { return &CutStep{*strapKind.decode(o).(*Strap)} },
}

// Clone implements Spec.
func (s *CutStep) Clone() Spec { c := *s; return &c }
