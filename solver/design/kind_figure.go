package design

import "foldwright/solver/geom"

// Fix is how a figure is held on its panel.
type Fix string

const (
	Glued     Fix = "glue"
	TabInSlot Fix = "tab_in_slot"
)

// Figure is a flat piece of artwork fixed to a panel.
type Figure struct {
	Outline geom.Path // in the figure's own frame, mm
	Artwork geom.Path // lines printed on it, in the same frame; nil for none
	Place   Place
	Fix     Fix
	Tab     FigureTab
}

// FigureTab is the tab of a figure held by tab_in_slot. It hangs from the line
// v = 0 of the figure's own frame, centred at u = At.
type FigureTab struct {
	At, Width, Depth float64
	Shoulder         float64 // zero for a plain tab
	Glued            bool
}

var figureKind = KindInfo{
	Kind:    "figure",
	Summary: "A flat piece of artwork fixed to a panel; it may reach past any edge.",
	Stands:  OnPanel,
	Panels:  []string{"figure"},
	Schema: Schema{
		{Name: "outline", Quantity: Outline, Required: true, Min: 1, Max: maxPathBytes,
			Doc: "closed SVG path in the figure's own frame, u first, v second"},
		{Name: "artwork", Quantity: Outline, Min: 1, Max: maxPathBytes,
			Doc: "SVG path of lines printed on the figure, in its own frame and within its outline"},
		placeField("where the figure's origin sits on its panel"),
		choice("fix", "how the figure is held", string(Glued), string(Glued), string(TabInSlot)),
		nested("tab", "the tab of a figure held by tab_in_slot; it hangs from v = 0 of the figure", false, Schema{
			position("at", "middle of the tab along the figure's u").or(0),
			length("width", "width of the tab").or(10),
			length("depth", "depth of the tab below the slot").or(8),
			shoulderField,
			gluedField,
		}),
	},
	Conditions: []string{"Moves rigidly with its panel."},
	decode: func(o *object) Spec {
		f := &Figure{Outline: o.outline("outline"), Fix: Fix(o.text("fix"))}
		f.Artwork = o.artwork("artwork", f.Outline)
		f.Place = o.place()
		tab := o.objectOrEmpty("tab")
		f.Tab = FigureTab{At: tab.length("at"), Width: tab.length("width"), Depth: tab.length("depth"), Shoulder: tab.length("shoulder"), Glued: tab.flag("glued")}
		return f
	},
}

// Clone implements Spec.
func (f *Figure) Clone() Spec { c := *f; return &c }

func (f *Figure) numbers() []number {
	return append(f.Place.numbers(),
		number{path: "tab/at", value: &f.Tab.At},
		number{path: "tab/width", value: &f.Tab.Width},
		number{path: "tab/depth", value: &f.Tab.Depth},
		number{path: "tab/shoulder", value: &f.Tab.Shoulder},
	)
}
