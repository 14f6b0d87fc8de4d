package pattern

import (
	"strconv"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
)

// Drawing lays the parts out in one drawing at true size, the page first, and a
// legend of the lines below them, which is the last part of the drawing. What
// lies on the reverse of a part is drawn where it is as seen from the front, as
// a label and not as glue, since nothing is printed there; so is what no glue
// holds.
func (p *Pattern) Drawing(title string) *draw.Drawing {
	at, size := p.arrange()
	legend, legendSize := p.legend(size.X)
	up := legendSize.Y + p.spacing
	legend.Place = geom.Move(geom.Vec2{Y: legendSize.Y})
	size = geom.Vec2{X: max(size.X, legendSize.X), Y: size.Y + up}
	d := &draw.Drawing{
		ID: "pattern", Title: title,
		Desc: "Parts seen from the printed face, true size in millimetres.",
		Box:  geom.Box2{Max: size}.Grow(p.spacing),
	}
	for i := range p.Parts {
		part := p.Parts[i].Drawing()
		part.Place = geom.Move(at[i].Add(geom.Vec2{Y: up}))
		d.Parts = append(d.Parts, part)
	}
	d.Parts = append(d.Parts, legend)
	return d
}

// Finished is the drawing made ready for the machine.
func (p *Pattern) Finished(title string) (*draw.Drawing, error) {
	d, _, err := p.finish.Apply(p.Drawing(title))
	return d, err
}

// Drawing is the part alone, in its own coordinates.
func (p *Part) Drawing() draw.Part {
	out := draw.Part{ID: p.ID, Name: p.Name, Place: geom.Identity}
	if p.Count > 1 {
		out.Desc = "make " + strconv.Itoa(p.Count)
	}
	add := func(op draw.Operation, id string, path geom.Path, fill bool) {
		if len(path) > 0 {
			out.Marks = append(out.Marks, draw.Mark{Op: op, ID: id, Path: path, Fill: fill})
		}
	}
	add(draw.Print, "artwork", p.Artwork, false)
	for i := range p.Glue {
		g := &p.Glue[i]
		id := "mark-" + g.Label
		if g.Tab {
			id = "tab-" + g.Label
		}
		if g.OnBack || g.Dry {
			add(draw.Label, id, g.Path, false)
		} else {
			add(draw.Glue, id, g.Path, true)
		}
	}
	for i := range p.Creases {
		c := &p.Creases[i]
		op := draw.ScoreValley
		if c.Kind == Mountain {
			op = draw.ScoreMountain
		}
		id := c.ID
		if n := before(p.Creases[:i], c.ID); n > 0 {
			id += "-" + strconv.Itoa(n+1)
		}
		add(op, id, geom.PolylinePath([]geom.Vec2{c.From, c.To}, false), false)
	}
	// Inner cuts before the outline: the sheet still holds the part.
	for i := range p.Slots {
		add(draw.Cut, "slot-"+p.Slots[i].Label, p.Slots[i].Path, false)
	}
	for i := range p.Holes {
		add(draw.Cut, "hole-"+strconv.Itoa(i+1), p.Holes[i:i+1], false)
	}
	for i := range p.Cuts {
		add(draw.Cut, "cut-"+strconv.Itoa(i+1), p.Cuts[i:i+1], false)
	}
	add(draw.Cut, "outline", p.Outline, false)
	add(draw.Label, "guides", p.Guides, false)
	for _, l := range p.Labels {
		sin, cos := l.Angle.Sincos()
		down := geom.Vec2{X: sin, Y: -cos}.Mul(l.Height / 2) // to the baseline
		out.Texts = append(out.Texts, draw.Text{
			Op: draw.Label, At: l.At.Add(down), Height: l.Height, Angle: l.Angle, Anchor: draw.Middle, S: l.Text,
		})
	}
	return out
}

// before counts the creases of a fold.
func before(list []Crease, id string) int {
	n := 0
	for i := range list {
		if list[i].ID == id {
			n++
		}
	}
	return n
}
