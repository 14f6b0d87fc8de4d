package draw

import (
	"io"
	"strings"

	"foldwright/solver/geom"
)

// SVGOptions shape an SVG file. The zero value is the default.
type SVGOptions struct {
	Styles *StyleTable // nil for DefaultStyles
}

const (
	// svgDecimals of a millimetre: a tenth of a micrometre.
	svgDecimals = 4
	// capHeight is the height of capitals as a part of the font size; common
	// sans-serif faces have 0.70 to 0.73.
	capHeight = 0.72
)

// WriteSVG writes SVG 1.1 at true size: one unit of the view box is one
// millimetre, and the upper left corner is the upper left of the drawing's
// box. Each part is a group with the part's id, holding one group for each of
// its operations, "<part>-<operation>", in working order.
func WriteSVG(w io.Writer, d *Drawing, o SVGOptions) error {
	if err := d.check(); err != nil {
		return err
	}
	s := svgWriter{styles: resolved(o.Styles)}
	s.flip = geom.Placement{C: 1, Mirror: true, T: geom.Vec2{X: -d.Box.Min.X, Y: d.Box.Max.Y}}
	s.document(d)
	return writeAll(w, s.b)
}

// writeAll reports a short write as the error it is.
func writeAll(w io.Writer, b []byte) error {
	n, err := w.Write(b)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	return err
}

type svgWriter struct {
	b      []byte
	styles StyleTable
	flip   geom.Placement // from y up to y down
}

func (s *svgWriter) raw(parts ...string) {
	for _, p := range parts {
		s.b = append(s.b, p...)
	}
}

func (s *svgWriter) number(v float64) { s.b = geom.AppendNumber(s.b, v, svgDecimals) }

func (s *svgWriter) attr(name, value string) { s.raw(" ", name, `="`, xmlText(value), `"`) }

func (s *svgWriter) attrNumber(name string, v float64) {
	s.raw(" ", name, `="`)
	s.number(v)
	s.raw(`"`)
}

func (s *svgWriter) element(indent, name, text string) {
	if text != "" {
		s.raw(indent, "<", name, ">", xmlText(text), "</", name, ">\n")
	}
}

func (s *svgWriter) document(d *Drawing) {
	size := d.Box.Size()
	s.raw("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n", `<svg xmlns="http://www.w3.org/2000/svg" version="1.1"`)
	if d.ID != "" {
		s.attr("id", xmlID(d.ID))
	}
	s.raw(` width="`)
	s.number(size.X)
	s.raw(`mm" height="`)
	s.number(size.Y)
	s.raw(`mm" viewBox="0 0 `)
	s.number(size.X)
	s.raw(" ")
	s.number(size.Y)
	s.raw("\">\n")
	s.element("  ", "title", d.Title)
	s.element("  ", "desc", d.Desc)
	for i := range d.Parts {
		s.part(&d.Parts[i])
	}
	s.raw("</svg>\n")
}

func (s *svgWriter) part(p *Part) {
	s.raw("  <g")
	s.attr("id", xmlID(p.ID))
	s.raw(` class="part">`, "\n")
	s.element("    ", "title", p.Name)
	s.element("    ", "desc", p.Desc)
	place := p.Place.Then(s.flip)
	for _, op := range workOrder {
		s.operation(op, p, place)
	}
	s.raw("  </g>\n")
}

func (s *svgWriter) operation(op Operation, p *Part, place geom.Placement) {
	open := false
	begin := func() {
		if !open {
			s.group(p.ID, op)
			open = true
		}
	}
	for i := range p.Marks {
		m := &p.Marks[i]
		if m.Op != op || len(m.Path) == 0 {
			continue
		}
		begin()
		s.raw("      <path")
		if m.ID != "" {
			s.attr("id", markID(p.ID, m))
		}
		if m.Fill && op != Glue {
			s.attr("fill", s.styles[op].Color)
			s.raw(` fill-opacity="0.2" fill-rule="evenodd"`)
		}
		s.path(m.Path.Transform(place))
		if m.Fill && op == Glue {
			// Hatched as placed, before the flip, as every writer does it.
			if lines := hatch(m.Path.Transform(p.Place)); len(lines) > 0 {
				s.raw(`      <path class="hatch"`)
				s.path(lines.Transform(s.flip))
			}
		}
	}
	for _, t := range p.Texts {
		if t.Op == op && t.S != "" {
			begin()
			s.text(t.placed(p.Place))
		}
	}
	if open {
		s.raw("    </g>\n")
	}
}

func (s *svgWriter) group(part string, op Operation) {
	style := &s.styles[op]
	s.raw("    <g")
	s.attr("id", groupID(part, op))
	s.attr("class", op.String())
	s.attr("data-operation", op.String())
	s.raw(` fill="none"`)
	s.attr("stroke", style.Color)
	s.attrNumber("stroke-width", style.Width)
	s.raw(` stroke-linejoin="round"`)
	if len(style.Dash) > 0 {
		s.raw(` stroke-dasharray="`)
		for i, v := range style.Dash {
			if i > 0 {
				s.raw(" ")
			}
			s.number(v)
		}
		s.raw(`"`)
	} else {
		s.raw(` stroke-linecap="round"`)
	}
	s.raw(">\n")
}

func (s *svgWriter) path(p geom.Path) {
	s.raw(` d="`)
	s.b = geom.AppendPath(s.b, p, svgDecimals)
	s.raw("\"/>\n")
}

var svgAnchors = [...]string{Start: "start", Middle: "middle", End: "end"}

// text is set at the flipped place with the turn reversed, so it stays upright.
func (s *svgWriter) text(t Text) {
	at := s.flip.Apply(t.At)
	s.raw("      <text")
	s.attrNumber("x", at.X)
	s.attrNumber("y", at.Y)
	if turn := string(geom.AppendNumber(nil, -t.Angle.Degrees(), svgDecimals)); turn != "0" {
		s.raw(` transform="rotate(`, turn, " ")
		s.number(at.X)
		s.raw(" ")
		s.number(at.Y)
		s.raw(`)"`)
	}
	s.raw(` font-family="sans-serif"`)
	s.attrNumber("font-size", t.Height/capHeight)
	if t.Anchor != Start {
		s.attr("text-anchor", svgAnchors[t.Anchor])
	}
	s.attr("fill", s.styles[t.Op].Color)
	s.raw(` stroke="none">`, xmlText(t.S), "</text>\n")
}

func groupID(part string, op Operation) string { return xmlID(part) + "-" + op.String() }

func markID(part string, m *Mark) string { return groupID(part, m.Op) + "-" + xmlID(m.ID) }

// xmlText escapes text for content and for attributes in double quotes.
// Characters that XML 1.0 cannot carry at all become the replacement character.
func xmlText(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&quot;")
		case r == '\t' || r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r < 0x20 || r == 0xFFFE || r == 0xFFFF:
			b.WriteRune('\uFFFD')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// xmlID makes a name that XML allows as an id; ours pass unchanged.
func xmlID(s string) string {
	b := []byte(s)
	for i, c := range b {
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_'
		if !letter && (i == 0 || !(c >= '0' && c <= '9' || c == '-' || c == '.')) {
			b[i] = '_'
		}
	}
	if len(b) == 0 {
		return "_"
	}
	return string(b)
}
