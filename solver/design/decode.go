package design

import (
	"regexp"
	"unicode/utf8"

	"foldwright/solver/geom"
)

// MaxMechanisms is the most mechanisms one design may hold.
const MaxMechanisms = 200

const idPattern = `^[a-z][a-z0-9_]{0,31}$`

var idRule = regexp.MustCompile(idPattern)

var documentSchema = Schema{
	{Name: "title", Quantity: Text, Doc: "name of the design", Max: 200, Default: ""},
	{Name: "notes", Quantity: Text, Doc: "free notes", Max: 4000, Default: ""},
	{Name: "tags", Quantity: List, Doc: "words to find the design by", Max: 20},
	choice("units", "unit of every length in the document", string(Millimetres), string(Millimetres), string(Inches)),
	nested("paper", "the stock everything is cut from", false, paperSchema),
	nested("spread", "the pair of facing pages", true, spreadSchema),
	{Name: "mechanisms", Quantity: List, Doc: "what stands on the spread", Max: MaxMechanisms},
}

// The default paper is a 240 g card, from memory 0.30 mm thick: measure the
// stock. Common practice: shut paper lies 1.1 to 1.25 times as thick as its
// sheets, and a film of glue adds 0.05 to 0.1 mm.
var paperSchema = Schema{
	length("caliper", "thickness of one sheet").within(0.02, 5).or(0.3),
	Field{Name: "grammage", Quantity: Real, Doc: "mass in g/m²", Min: 20, Max: 3000}.or(240),
	choice("grain", "main fibre direction of the page", string(AlongGutter), string(AlongGutter), string(AcrossGutter)),
	Field{Name: "springback", Quantity: Real, Doc: "how many times thicker a shut pile is than its sheets", Min: 1, Max: 2}.or(1.15),
	length("glue_film", "what one film of glue adds to a shut pile").within(0, 1).or(0.08),
}

var spreadSchema = Schema{
	length("page_width", "gutter to fore edge").within(20, 1000),
	length("page_height", "foot to head").within(20, 1500),
	length("corner_radius", "rounding of the outer corners").within(0, 500).or(0),
	length("margin", "strip along the page edges to keep clear when shut").within(0, 500).or(5),
	angle("opens_to", "angle between the pages when fully open").within(1, 180).or(180),
	{Name: "max_shut_thickness", Quantity: Length, Doc: "most the shut spread may be thick, pages included; no limit when left out", Min: minLength, Max: 200},
}

// hostSchema is the `on` of a mechanism: fold and side, or panel.
var hostSchema = Schema{
	{Name: "fold", Quantity: Text, Doc: "gutter, or <id>.left_base, <id>.ridge, <id>.right_base", Min: 1, Max: 64},
	choice("side", "side of the fold; a base fold is stood on from outside, a ridge from underneath", "", string(Inner), string(Outer)),
	{Name: "panel", Quantity: Text, Doc: "page.left, page.right, or a panel of a mechanism", Min: 1, Max: 64},
}

// entrySchema is what every mechanism has besides the fields of its kind.
var entrySchema = Schema{
	{Name: "id", Quantity: Text, Doc: "name of the mechanism, unique in the design", Required: true, Min: 1, Max: 32},
	{Name: "kind", Quantity: Text, Doc: "kind of mechanism", Required: true, Min: 1, Max: 64},
	nested("on", "what the mechanism stands on", true, hostSchema),
}

// pageField is the `on` of a mechanism that lies on a page.
var pageField = nested("on", "the page the mechanism lies on, unless page says it", false, Schema{
	choice("page", "left or right", "", "left", "right"),
	{Name: "panel", Quantity: Text, Doc: "page.left or page.right", Min: 1, Max: 64},
})

// jointField is the entry every mechanism glued along base lines also has.
var jointField = nested("joint", "how the base lines are fixed", false, jointSchema)

// DocumentSchema is the schema of the document itself.
func DocumentSchema() Schema { return documentSchema }

// EntrySchema is the full schema of a mechanism entry of the kind.
func (k *KindInfo) EntrySchema() Schema {
	s := append(Schema{}, entrySchema...)
	if k.Stands == OnPage {
		s[len(s)-1] = pageField
	}
	if k.jointed() {
		s = append(s, jointField)
	}
	return append(s, k.Schema...)
}

// jointed tells whether the kind has base lines glued to its host.
func (k *KindInfo) jointed() bool { return k.Stands != OnPanel && !k.OneSheet }

// Decode reads a design document. The error is an *Invalid naming every fault
// found, each by its JSON pointer.
func Decode(data []byte) (*Design, error) {
	if !utf8.Valid(data) {
		return nil, &Invalid{[]Problem{{"", CodeMalformed, "the document is not valid UTF-8"}}}
	}
	root, problem := parseTree(data)
	if problem != nil {
		return nil, &Invalid{[]Problem{*problem}}
	}
	f := &faults{units: Millimetres}
	d := f.decodeDocument(root)
	if len(f.problems) > 0 {
		return nil, &Invalid{f.problems}
	}
	return d, nil
}

func (f *faults) decodeDocument(root node) *Design {
	o := f.openObject(root, documentSchema)
	if o == nil {
		return nil
	}
	d := &Design{Title: o.text("title"), Notes: o.text("notes"), Units: Units(o.text("units"))}
	if d.Units != "" {
		f.units = d.Units
	}
	d.Tags = o.tags()
	d.Paper = decodePaper(o.objectOrEmpty("paper"))
	if spread := o.object("spread"); spread != nil {
		d.Spread = decodeSpread(spread)
	}
	for _, n := range o.list("mechanisms") {
		d.Mechanisms = append(d.Mechanisms, f.decodeMechanism(n))
	}
	f.resolve(d)
	return d
}

func (o *object) tags() []string {
	tags := []string{}
	for _, n := range o.list("tags") {
		tag, ok := n.value.(string)
		switch {
		case !ok:
			o.add(n.pointer, CodeWrongType, "must be a string, not %s", n.typeName())
		case tag == "" || utf8.RuneCountInString(tag) > 40:
			o.add(n.pointer, CodeOutOfRange, "must be 1 to 40 characters long")
		default:
			tags = append(tags, tag)
		}
	}
	return tags
}

func decodePaper(o *object) Paper {
	return Paper{
		Caliper: o.length("caliper"), Grammage: o.number("grammage"), Grain: Grain(o.text("grain")),
		Springback: o.number("springback"), GlueFilm: o.length("glue_film"),
	}
}

func decodeSpread(o *object) Spread {
	s := Spread{
		PageWidth:    o.length("page_width"),
		PageHeight:   o.length("page_height"),
		CornerRadius: o.length("corner_radius"),
		Margin:       o.length("margin"),
		OpensTo:      o.angle("opens_to"),

		MaxShutThickness: o.length("max_shut_thickness"),
	}
	half := min(s.PageWidth, s.PageHeight/2)
	if half > 0 && s.CornerRadius > half {
		o.reject("corner_radius", CodeOutOfRange, "must be at most %s on this page", o.in(half))
	}
	if half := min(s.PageWidth, s.PageHeight) / 2; half > 0 && s.Margin >= half {
		o.reject("margin", CodeOutOfRange, "must be less than %s on this page", o.in(half))
	}
	return s
}

func (f *faults) decodeMechanism(n node) Mechanism {
	// The kind decides which fields are allowed, so it is read first.
	o := &object{f, n, entrySchema}
	if _, ok := n.value.([]member); !ok {
		f.add(n.pointer, CodeWrongType, "must be an object, not %s", n.typeName())
		return Mechanism{}
	}
	m := Mechanism{Kind: Kind(o.text("kind"))}
	info := m.Info()
	if info == nil {
		if m.Kind != "" {
			o.reject("kind", CodeNotAllowed, "must be one of %s; got %q", kindNames(), clip(string(m.Kind)))
		}
		return Mechanism{}
	}
	o = f.openObject(n, info.EntrySchema())
	m.ID = o.text("id")
	if m.ID != "" && !idRule.MatchString(m.ID) {
		o.reject("id", CodeBadID, "must be a lower-case letter followed by up to 31 lower-case letters, digits or underscores; got %q", clip(m.ID))
		m.ID = ""
	}
	if info.Stands == OnPage {
		m.On = o.pageHost()
	} else if on := o.object("on"); on != nil {
		m.On = Host{Fold: on.text("fold"), Side: Side(on.text("side")), Panel: on.text("panel")}
	}
	if info.jointed() {
		m.Joint = decodeJoint(o.objectOrEmpty("joint"))
	}
	m.Spec = info.decode(o)
	return m
}

func kindNames() string {
	list := make(Schema, len(kinds))
	for i, k := range kinds {
		list[i].Name = string(k.Kind)
	}
	return list.names()
}

// Standing places of the spread itself.
const (
	Gutter    = "gutter"
	PageLeft  = "page.left"
	PageRight = "page.right"
)

// OpensTo in radians is the largest opening checks look at.
func (d *Design) OpensTo() geom.Angle { return d.Spread.OpensTo }
