package design

// SlideTent is a tent on one page whose far edge is drawn towards the gutter by
// a strip that is anchored on the other page.
type SlideTent struct {
	From, To    float64 // extent along the gutter, mm
	FixedOffset float64 // gutter to the glued edge, mm
	NearWidth   float64 // glued edge to ridge, mm
	FarWidth    float64 // ridge to sliding edge, mm
	Travel      float64 // of the sliding edge from shut to open flat, mm
	Strip       TentStrip
	// Guided is whether the strip is held flat against the page under the tent.
	Guided bool
}

// TentStrip is the strip that draws the far edge.
type TentStrip struct {
	Width float64  // mm
	At    *float64 // middle of the strip along the gutter, mm; nil: the middle of the tent
}

// StripMiddle is where the middle of the strip is along the gutter, mm.
func (s *SlideTent) StripMiddle() float64 {
	if s.Strip.At != nil {
		return *s.Strip.At
	}
	return (s.From + s.To) / 2
}

// Anchor is the distance from the gutter to the line the strip is fixed to on
// the other page, mm: half the travel, since opening the book flat takes that
// line from as far outside the gutter to as far beyond it.
func (s *SlideTent) Anchor() float64 { return s.Travel / 2 }

var slideTentKind = KindInfo{
	Kind:    "slide_tent",
	Summary: "A tent on one page, flat when shut, raised by a strip from the other page as the book opens.",
	Stands:  OnPage,
	Panels:  []string{"near", "far"},
	Folds:   []string{"near_base", "ridge"},
	Schema: Schema{
		choice("page", "the page the tent lies on; it can be given in on instead", "", "left", "right"),
		position("from", "where the tent starts, along the gutter from its foot"),
		position("to", "where it ends; beyond from"),
		length("fixed_offset", "distance from the gutter to the edge that is glued"),
		length("near_width", "distance from the glued edge to the ridge"),
		length("far_width", "distance from the ridge to the edge that slides"),
		length("travel", "distance the sliding edge is drawn from shut to open flat; the strip is anchored half as far from the gutter"),
		nested("strip", "the strip that draws the sliding edge", false, Schema{
			length("width", "width of the strip").or(12),
			optional(position("at", "middle of the strip along the gutter; left out, the middle of the tent")),
		}),
		flag("guided", "hold the strip flat against the page from the sliding edge to the glued edge; otherwise it runs straight to its anchor", true),
	},
	Conditions: []string{
		"Lies flat when shut.",
		"A guided strip draws at most twice the fixed offset; an unguided one binds when the sliding edge starts nearer the gutter than the travel.",
		"Opens as far as the strip draws no more than twice the narrower of its two panels.",
		"The strip passes through a gap in the glued edge; where it runs between the pages nothing may stand in its way.",
	},
	decode: func(o *object) Spec {
		s := &SlideTent{
			FixedOffset: o.length("fixed_offset"),
			NearWidth:   o.length("near_width"),
			FarWidth:    o.length("far_width"),
			Travel:      o.length("travel"),
			Guided:      o.flag("guided"),
		}
		s.From, s.To = o.extent()
		strip := o.objectOrEmpty("strip")
		s.Strip = TentStrip{Width: strip.length("width"), At: strip.optionalLength("at")}
		if long := s.To - s.From; long >= minLength && !s.consistent() {
			switch {
			case s.Strip.Width > long && strip.has("width"):
				strip.reject("width", CodeOutOfRange, "must be at most %s, the extent of the tent; got %s", o.in(long), o.in(s.Strip.Width))
			case s.Strip.Width > long:
				o.reject("to", CodeOutOfRange, "must be at least %s beyond from, the width of the strip where strip/width is left out", o.in(s.Strip.Width))
			default:
				strip.reject("at", CodeOutOfRange, "must be from %s to %s, so that the strip stays under the tent; got %s",
					o.in(s.From+s.Strip.Width/2), o.in(s.To-s.Strip.Width/2), o.in(*s.Strip.At))
			}
		}
		return s
	},
}

// pageHost reads what a mechanism on a page stands on. It can be written as the
// field page, or as page or panel of on.
func (o *object) pageHost() Host {
	var pointers, panels []string
	claim := func(from *object, name, panel string) {
		pointers, panels = append(pointers, from.pointer(name)), append(panels, panel)
	}
	before := len(o.problems)
	if page := o.text("page"); page != "" {
		claim(o, "page", "page."+page)
	}
	if on := o.object("on"); on != nil {
		if page := on.text("page"); page != "" {
			claim(on, "page", "page."+page)
		}
		switch panel := on.text("panel"); panel {
		case "":
		case PageLeft, PageRight:
			claim(on, "panel", panel)
		default:
			on.reject("panel", CodeNotAllowed, "must be %s or %s; got %q", PageLeft, PageRight, clip(panel))
		}
	}
	if len(o.problems) > before {
		return Host{}
	}
	if len(panels) == 0 {
		o.reject("page", CodeMissing, "required: the page the mechanism lies on, left or right")
		return Host{}
	}
	for i := range panels {
		if panels[i] != panels[0] {
			o.add(pointers[i], CodeNotAllowed, "contradicts %s, which names %s", pointers[0], panels[0])
		}
	}
	return Host{Panel: panels[0]}
}

// Clone implements Spec.
func (s *SlideTent) Clone() Spec {
	c := *s
	c.Strip.At = cloned(s.Strip.At)
	return &c
}

func (s *SlideTent) numbers() []number {
	list := []number{
		{path: "from", value: &s.From}, {path: "to", value: &s.To},
		{path: "fixed_offset", value: &s.FixedOffset},
		{path: "near_width", value: &s.NearWidth}, {path: "far_width", value: &s.FarWidth},
		{path: "travel", value: &s.Travel},
		{path: "strip/width", value: &s.Strip.Width},
	}
	return appendGiven(list, "strip/at", s.Strip.At)
}

func (s *SlideTent) extent() (from, to float64) { return s.From, s.To }

// consistent tells whether the strip is under the tent.
func (s *SlideTent) consistent() bool {
	middle, half := s.StripMiddle(), s.Strip.Width/2
	return s.Strip.At == nil && s.Strip.Width <= s.To-s.From ||
		s.Strip.At != nil && middle-half >= s.From && middle+half <= s.To
}
