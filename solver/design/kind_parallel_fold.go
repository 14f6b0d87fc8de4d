package design

import "foldwright/solver/geom"

// ParallelFold is two panels glued along lines parallel to the fold, meeting in
// a ridge parallel to it.
type ParallelFold struct {
	From, To float64 // extent along the fold, mm
	Left     ParallelSide
	Right    *ParallelSide // nil: the mirror of Left
}

// ParallelSide is one panel of a parallel fold.
type ParallelSide struct {
	BaseOffset float64 // fold to base line, mm
	PanelWidth float64 // base line to ridge, mm
	// Free edges, base line to ridge; nil: straight.
	Profile, ProfileFrom geom.Path
}

// Sides gives both panels.
func (p *ParallelFold) Sides() (left, right ParallelSide) {
	if p.Right == nil {
		return p.Left, p.Left
	}
	return p.Left, *p.Right
}

var parallelSideSchema = Schema{
	length("base_offset", "distance from the fold to the base line"),
	length("panel_width", "distance from the base line to the ridge"),
	profile("profile", "shape of the free edge at to, from the base line to the ridge"),
	profile("profile_from", "shape of the free edge at from, from the base line to the ridge"),
}

// alongFold is the extent of a mechanism whose base lines run along the fold.
var alongFold = Schema{
	position("from", "where the mechanism starts, along the fold from its start"),
	position("to", "where it ends; beyond from"),
}

var parallelFoldKind = KindInfo{
	Kind:    "parallel_fold",
	Summary: "Two panels glued parallel to the fold; with equal sides, a tent.",
	Stands:  OnFold,
	Panels:  twoPanels,
	Folds:   threeFolds,
	Schema: append(alongFold[:2:2],
		nested("left", "the panel on the left face", true, parallelSideSchema),
		nested("right", "the panel on the right face; left out, it mirrors the left", false, parallelSideSchema),
	),
	Conditions: []string{
		"Shuts flat when base offset plus panel width is the same on both sides.",
		"Stands when open flat while the two offsets together are less than the two widths together.",
	},
	decode: func(o *object) Spec {
		p := &ParallelFold{}
		p.From, p.To = o.extent()
		if left := o.object("left"); left != nil {
			p.Left = decodeParallelSide(left)
		}
		if right := o.object("right"); right != nil {
			side := decodeParallelSide(right)
			p.Right = &side
		}
		return p
	},
}

func decodeParallelSide(o *object) ParallelSide {
	return ParallelSide{
		BaseOffset:  o.length("base_offset"),
		PanelWidth:  o.length("panel_width"),
		Profile:     o.profile("profile"),
		ProfileFrom: o.profile("profile_from"),
	}
}

// extent reads from and to, which must be in order.
func (o *object) extent() (from, to float64) {
	before := len(o.problems)
	from, to = o.length("from"), o.length("to")
	if len(o.problems) == before && to-from < minLength {
		o.reject("to", CodeOutOfRange, "must be at least %s beyond from", o.in(minLength))
	}
	return from, to
}

// Clone implements Spec.
func (p *ParallelFold) Clone() Spec {
	c := *p
	if p.Right != nil {
		right := *p.Right
		c.Right = &right
	}
	return &c
}

func (p *ParallelFold) numbers() []number {
	list := []number{{path: "from", value: &p.From}, {path: "to", value: &p.To}}
	list = append(list, p.Left.numbers("left/")...)
	if p.Right != nil {
		list = append(list, p.Right.numbers("right/")...)
	}
	return list
}

func (s *ParallelSide) numbers(prefix string) []number {
	return []number{
		{path: prefix + "base_offset", value: &s.BaseOffset},
		{path: prefix + "panel_width", value: &s.PanelWidth},
	}
}

func (p *ParallelFold) extent() (from, to float64) { return p.From, p.To }
