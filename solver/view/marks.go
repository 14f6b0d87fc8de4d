package view

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/raster"
)

// Severity ranks marks. The words are those of findings.
type Severity string

const (
	Error   Severity = "error"
	Warning Severity = "warning"
	Note    Severity = "note"
)

// Mark points to a place in the world. The label may be empty.
type Mark struct {
	At       geom.Vec3 // mm
	Label    string
	Severity Severity // empty is Note
}

const (
	maxMarks    = 200
	markReach   = 5.0  // px, from the middle of a marker to its points
	leaderX     = 20.0 // px, from the marker to the foot of its label
	leaderY     = -20.0
	leaderLeast = 2.0 // px, of the rim of the picture kept free
)

func checkMarks(marks []Mark) error {
	if len(marks) > maxMarks {
		return &OptionError{"Marks", "must be at most 200"}
	}
	for _, m := range marks {
		if !finite(m.At.X) || !finite(m.At.Y) || !finite(m.At.Z) {
			return &OptionError{"Marks", "must be at finite places"}
		}
		switch m.Severity {
		case "", Error, Warning, Note:
		default:
			return &OptionError{"Marks", "must be an error, a warning or a note"}
		}
	}
	return nil
}

// marker is the shape and the colour of a severity. The shapes differ so that
// the colours, which eyes that mix up red and green see as dark orange, ochre
// and blue, need not be told apart.
func marker(s Severity) (outline []geom.Vec2, ink rgb) {
	n, turn := 12, 0.0
	ink = rgb{0, 96, 150}
	switch s {
	case Error:
		n, turn, ink = 3, -math.Pi/2, rgb{178, 48, 10}
	case Warning:
		n, ink = 4, rgb{156, 106, 0}
	}
	reach := markReach
	if n > 4 {
		reach *= 0.8 // a round looks larger than what has points
	}
	for k := range n {
		sin, cos := math.Sincos(turn + 2*math.Pi*float64(k)/float64(n))
		outline = append(outline, geom.Vec2{X: reach * cos, Y: reach * sin})
	}
	return outline, ink
}

// drawMarks draws the marks over the picture, each with a leader to its label,
// clear of texts in the boxes taken.
func (pic *picture) drawMarks(c surface, marks []Mark, m *placing, taken []geom.Box2) {
	if len(marks) == 0 {
		return
	}
	white := rgb{255, 255, 255}
	c.beginPaper(m.lines)
	texts := make([][]label, len(marks))
	for i := range marks {
		at := m.apply(pic.eye.project(marks[i].At))
		outline, ink := marker(marks[i].Severity)
		for k := range outline {
			outline[k] = outline[k].Add(at)
		}
		c.beginSheet("mark", string(marks[i].severity()))
		if marks[i].Label != "" {
			box := labelBox(marks[i].Label, at, m.room)
			down := freeStep(box, taken) * labelStep * labelSize
			box.Min.Y, box.Max.Y = box.Min.Y+down, box.Max.Y+down
			taken = append(taken, box)
			foot := geom.Vec2{X: box.Min.X, Y: box.Max.Y}
			if box.Max.X < at.X {
				foot.X = box.Max.X
			}
			far := geom.Vec2{X: box.Min.X + box.Max.X - foot.X, Y: foot.Y}
			leader := []raster.Line{{Points: []geom.Vec2{at, foot, far}}}
			c.stroke(leader, white, 2.5*m.lines)
			c.stroke(leader, ink, 0.9*m.lines)
			texts[i] = []label{{geom.Vec2{X: box.Min.X, Y: box.Max.Y - 3}, marks[i].Label}}
		}
		c.fill([][]geom.Vec2{outline}, ink)
		c.stroke([]raster.Line{{Points: outline, Closed: true}}, white, 0)
		c.endSheet()
	}
	c.endPaper()
	for i := range marks {
		_, ink := marker(marks[i].Severity)
		c.write(&lettering{size: labelSize, ink: ink.mix(rgb{}, 0.25), halo: true}, texts[i])
	}
}

func (m *Mark) severity() Severity {
	if m.Severity == "" {
		return Note
	}
	return m.Severity
}

// labelBox is where the label of a mark goes: up to the right, or to the left
// where there is no room, inside the picture.
func labelBox(text string, at geom.Vec2, room geom.Box2) geom.Box2 {
	width := raster.TextWidth(text, labelSize)
	left := at.X + leaderX
	if left+width > room.Max.X-leaderLeast && at.X-leaderX-width >= room.Min.X+leaderLeast {
		left = at.X - leaderX - width
	}
	left = max(min(left, room.Max.X-leaderLeast-width), room.Min.X+leaderLeast)
	foot := at.Y + leaderY
	if foot-labelSize < room.Min.Y+leaderLeast {
		foot = at.Y - leaderY
	}
	return geom.Box2{Min: geom.Vec2{X: left, Y: foot - 1.2*labelSize}, Max: geom.Vec2{X: left + width, Y: foot}}
}
