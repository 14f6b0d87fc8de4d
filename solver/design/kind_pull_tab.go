package design

import "foldwright/solver/geom"

// PullTab is a strip pulled by hand that moves a slide, or raises a tent by
// drawing its far edge in.
type PullTab struct {
	Place       Place // origin; the strip is pulled along u
	Moves       Moves
	Outline     geom.Path // of a slide, where it lies before the pull
	NearWidth   float64   // of a tent: fixed edge to ridge
	FarWidth    float64   // of a tent: ridge to the edge that is drawn in
	Along       float64   // of a tent: length of its edges, from v = 0
	Stroke      float64
	StripWidth  float64
	StripLength float64
}

// Moves is what a pull tab moves.
type Moves string

const (
	MovesSlide Moves = "slide"
	MovesTent  Moves = "tent"
)

// stripSchema is a strip worked by hand.
var stripSchema = Schema{
	length("width", "width of the strip").within(2, 200).or(12),
	length("length", "from what it moves to the grip").or(60),
}

func (o *object) strip() (width, length float64) {
	s := o.objectOrEmpty("strip")
	return s.length("width"), s.length("length")
}

var pullTabKind = KindInfo{
	Kind:    "pull_tab",
	Summary: "A strip pulled at the page edge that moves a slide or raises a tent.",
	Stands:  OnPanel,
	Panels:  []string{"slide", "near", "far"},
	Folds:   []string{"near_base", "ridge"},
	Schema: Schema{
		placeField("origin of the movement; the strip is pulled along u turned by rotate"),
		choice("moves", "what the strip moves", string(MovesSlide), string(MovesSlide), string(MovesTent)),
		{Name: "outline", Quantity: Outline, Min: 1, Max: maxPathBytes,
			Doc: "of a slide: closed SVG path where it lies before the pull"},
		nested("tent", "of a tent: it lies from its fixed edge, on v, against the pull", false, Schema{
			length("near_width", "from the fixed edge to the ridge"),
			length("far_width", "from the ridge to the edge that is drawn in"),
			length("along", "length of the edges, along v from the origin"),
		}),
		length("stroke", "how far the strip is pulled, between its stops"),
		nested("strip", "the strip", false, stripSchema),
	},
	Conditions: []string{
		"Pulled by its driver pull, from 0 at rest to the stroke.",
		"A tent rises as its base shortens from near plus far width; it locks when the base is down to their difference.",
	},
	decode: decodePullTab,
}

func decodePullTab(o *object) Spec {
	p := &PullTab{Place: o.place(), Moves: Moves(o.text("moves")), Outline: o.outline("outline"), Stroke: o.length("stroke")}
	p.StripWidth, p.StripLength = o.strip()
	tent := o.object("tent")
	if tent != nil {
		p.NearWidth, p.FarWidth, p.Along = tent.length("near_width"), tent.length("far_width"), tent.length("along")
	}
	switch p.Moves {
	case MovesSlide:
		if !o.has("outline") {
			o.reject("outline", CodeMissing, "required for a slide: its shape before the pull")
		}
		if tent != nil {
			o.reject("tent", CodeNotAllowed, "only for moves %q", MovesTent)
		}
	case MovesTent:
		if !o.has("tent") {
			o.reject("tent", CodeMissing, "required for a tent: its widths")
		}
		if o.has("outline") {
			o.reject("outline", CodeNotAllowed, "only for moves %q", MovesSlide)
		}
		if flat := p.NearWidth + p.FarWidth; tent != nil && p.Stroke >= flat {
			o.reject("stroke", CodeOutOfRange, "must be less than near and far width together, %s", o.in(flat))
		}
	}
	return p
}

// makes implements naming: a pull tab makes what it moves.
func (p *PullTab) makes() (panels, folds []string) {
	if p.Moves == MovesTent {
		return []string{"near", "far"}, []string{"near_base", "ridge"}
	}
	return []string{"slide"}, nil
}

// Drivers implements Driven.
func (p *PullTab) Drivers() []Driver {
	return []Driver{{Name: "pull", Quantity: Length, Max: p.Stroke}}
}

// Clone implements Spec.
func (p *PullTab) Clone() Spec { c := *p; return &c }

func (p *PullTab) numbers() []number {
	list := append(p.Place.numbers(),
		number{path: "stroke", value: &p.Stroke},
		number{path: "strip/width", value: &p.StripWidth},
		number{path: "strip/length", value: &p.StripLength},
	)
	if p.Moves == MovesTent {
		list = append(list,
			number{path: "tent/near_width", value: &p.NearWidth},
			number{path: "tent/far_width", value: &p.FarWidth},
			number{path: "tent/along", value: &p.Along},
		)
	}
	return list
}
