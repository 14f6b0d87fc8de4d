package draw

import (
	"fmt"
	"math"

	"foldwright/solver/geom"
)

// Operation is what is to be done along a line or in an area.
type Operation uint8

const (
	Cut           Operation = iota
	ScoreMountain           // crease that stands up towards the printed face
	ScoreValley             // crease that sinks away from it
	Perforate
	Glue         // area that takes glue
	Print        // artwork
	Label        // names and matching marks for the maker
	Registration // marks that align print and cut
	operationCount
)

var operationNames = [operationCount]string{
	"cut", "score_mountain", "score_valley", "perforate", "glue", "print", "label", "registration",
}

// Operations lists every operation in the order of their values.
func Operations() []Operation {
	all := make([]Operation, operationCount)
	for i := range all {
		all[i] = Operation(i)
	}
	return all
}

func (o Operation) String() string {
	if o < operationCount {
		return operationNames[o]
	}
	return fmt.Sprintf("operation(%d)", uint8(o))
}

// ParseOperation finds the operation with the given name.
func ParseOperation(name string) (Operation, bool) {
	for i, n := range operationNames {
		if n == name {
			return Operation(i), true
		}
	}
	return 0, false
}

// workOrder is the order within a part: areas underneath, creases while the
// sheet is still whole, cuts after them, words on top.
var workOrder = [operationCount]Operation{
	Registration, Print, Glue, ScoreMountain, ScoreValley, Perforate, Cut, Label,
}

// Mark is a path to work along, in its part's coordinates. Fill asks for the
// area as well as the outline: hatching for glue, a flat tint for the rest.
type Mark struct {
	Op   Operation
	Path geom.Path
	ID   string
	Fill bool
}

// Anchor is the point of a line of text that At stands for.
type Anchor uint8

const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text. At is on the baseline, Height is the height of
// capitals in mm, and Angle turns the baseline anticlockwise.
type Text struct {
	Op     Operation
	At     geom.Vec2
	Height float64
	Angle  geom.Angle
	Anchor Anchor
	S      string
}

// Part is one piece with its place in the drawing. ID must be unique.
type Part struct {
	ID, Name, Desc string
	Place          geom.Placement
	Marks          []Mark
	Texts          []Text
}

// Drawing is what a file shows. Box is the sheet or the frame of the picture;
// nothing is clipped to it.
type Drawing struct {
	ID, Title, Desc string
	Box             geom.Box2
	Parts           []Part
}

// Extent is the smallest box around all marks as placed. Texts are left out:
// their width depends on the font of the reader.
func (d *Drawing) Extent() geom.Box2 {
	box := geom.EmptyBox()
	for i := range d.Parts {
		p := &d.Parts[i]
		for _, m := range p.Marks {
			box = box.Union(m.Path.Transform(p.Place).Bounds())
		}
	}
	return box
}

// Error is a drawing that no writer can make a sound file of.
type Error struct {
	Part   string // id, "" for the drawing itself
	Reason string
}

func (e *Error) Error() string {
	if e.Part == "" {
		return "drawing: " + e.Reason
	}
	return fmt.Sprintf("drawing, part %q: %s", e.Part, e.Reason)
}

// check finds what would make a file wrong without looking wrong: numbers that
// are none, operations that do not exist, parts that cannot be told apart.
func (d *Drawing) check() error {
	if d.Box.Empty() || !finite(d.Box.Min) || !finite(d.Box.Max) || d.Box.Size().X <= 0 || d.Box.Size().Y <= 0 {
		return &Error{Reason: "the box has no area"}
	}
	// All ids of the SVG file, where they must differ.
	ids := map[string]bool{}
	taken := func(id string) bool {
		was := ids[id]
		ids[id] = true
		return was
	}
	if d.ID != "" {
		taken(xmlID(d.ID))
	}
	for i := range d.Parts {
		p := &d.Parts[i]
		if taken(xmlID(p.ID)) {
			return &Error{Part: p.ID, Reason: "its id is taken"}
		}
		for op := range operationCount {
			if taken(groupID(p.ID, op)) {
				return &Error{Part: p.ID, Reason: "its " + op.String() + " group has the id of something else"}
			}
		}
		if k := p.Place.Factor(); !(k > 0) || math.IsInf(k, 0) || !finite(p.Place.T) {
			return &Error{Part: p.ID, Reason: "its placement is not a similarity"}
		}
		for j := range p.Marks {
			m := &p.Marks[j]
			if m.Op >= operationCount {
				return &Error{Part: p.ID, Reason: "unknown " + m.Op.String()}
			}
			if b := m.Path.Bounds(); len(m.Path) > 0 && (!finite(b.Min) || !finite(b.Max)) {
				return &Error{Part: p.ID, Reason: fmt.Sprintf("mark %d has a coordinate that is not a number", j)}
			}
			if m.ID != "" && taken(markID(p.ID, m)) {
				return &Error{Part: p.ID, Reason: fmt.Sprintf("the id %q of a %s mark is taken", m.ID, m.Op)}
			}
		}
		for j := range p.Texts {
			t := &p.Texts[j]
			if t.Op >= operationCount {
				return &Error{Part: p.ID, Reason: "unknown " + t.Op.String()}
			}
			if !finite(t.At) || !finite(geom.Vec2{X: t.Height, Y: float64(t.Angle)}) || t.Height <= 0 {
				return &Error{Part: p.ID, Reason: fmt.Sprintf("text %d has no place or height", j)}
			}
		}
	}
	return nil
}

func finite(v geom.Vec2) bool { return !math.IsInf(v.X-v.X+v.Y-v.Y, 0) && !math.IsNaN(v.X-v.X+v.Y-v.Y) }

// placed is the text in the drawing's coordinates. Text is never mirrored:
// under a mirror it keeps its ground and its upper side, and reads the other
// way along the baseline.
func (t Text) placed(m geom.Placement) Text {
	sin, cos := t.Angle.Sincos()
	d := m.Dir(geom.Vec2{X: cos, Y: sin})
	if m.Mirror {
		d = d.Mul(-1)
		t.Anchor = End - t.Anchor
	}
	t.At, t.Height = m.Apply(t.At), t.Height*m.Factor()
	t.Angle = geom.Angle(math.Atan2(d.Y, d.X))
	return t
}
