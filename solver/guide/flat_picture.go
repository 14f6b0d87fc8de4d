package guide

import (
	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/pattern"
)

// Sizes of the picture of a flat part, in its units: about pixels.
const (
	flatWide, flatHigh = 300.0, 220.0
	flatRim            = 12.0
	letterSize         = 15.0
	flatTolerance      = 0.05 // mm, of curves
	flatLine           = 1.4
	flatPaper          = "#fffdf8"
	gluePlate          = "#dbe9e3"
	letterInk          = "#14181f"
)

// flatPicture shows a part from its printed face, with the letters of its joints
// larger than they are on the part.
func flatPicture(part *pattern.Part, title string) *draw.Picture {
	box := part.Outline.Bounds()
	size := box.Size()
	scale := min((flatWide-2*flatRim)/size.X, (flatHigh-2*flatRim)/size.Y)
	pic := &draw.Picture{Width: scale*size.X + 2*flatRim, Height: scale*size.Y + 2*flatRim, Title: title}
	put := func(at geom.Vec2) geom.Vec2 {
		return geom.Vec2{X: flatRim + scale*(at.X-box.Min.X), Y: flatRim + scale*(box.Max.Y-at.Y)}
	}
	lines := func(path geom.Path) (out []draw.Polyline) {
		for i, ring := range path.Flatten(flatTolerance) {
			line := draw.Polyline{Closed: path[i].Closed}
			for _, at := range ring {
				line.Points = append(line.Points, put(at))
			}
			out = append(out, line)
		}
		return out
	}
	styles := draw.DefaultStyles()
	add := func(s draw.Shape) { pic.Shapes = append(pic.Shapes, s) }
	dashed := func(op draw.Operation) draw.Shape {
		shape := draw.Shape{Stroke: styles[op].Color, Width: flatLine}
		for _, d := range styles[op].Dash {
			shape.Dash = append(shape.Dash, 2*d)
		}
		return shape
	}
	sheet := draw.Shape{Fill: flatPaper, Lines: append(lines(part.Outline), lines(part.Holes)...)}
	add(sheet)
	for i := range part.Glue {
		add(draw.Shape{Fill: gluePlate, Stroke: styles[draw.Glue].Color, Width: flatLine / 2, Lines: lines(part.Glue[i].Path)})
	}
	for i := range part.Creases {
		c := &part.Creases[i]
		shape := dashed(draw.ScoreValley)
		if c.Kind == pattern.Mountain {
			shape = dashed(draw.ScoreMountain)
		}
		shape.Lines = []draw.Polyline{{Points: []geom.Vec2{put(c.From), put(c.To)}}}
		add(shape)
	}
	cut := draw.Shape{Stroke: styles[draw.Cut].Color, Width: flatLine, Lines: append(sheet.Lines, lines(part.Cuts)...)}
	for i := range part.Slots {
		cut.Lines = append(cut.Lines, lines(part.Slots[i].Path)...)
	}
	add(cut)
	letters := letterPlaces{room: geom.Box2{Max: geom.Vec2{X: pic.Width, Y: pic.Height}}}
	for i := range part.Glue {
		if g := &part.Glue[i]; i == 0 || g.Joint != part.Glue[i-1].Joint || g.Tab != part.Glue[i-1].Tab {
			label := g.Label
			if g.OnBack {
				label += english.reverseMark
			}
			at := letters.place(put(g.Path[:1].Bounds().Center()), label)
			add(draw.Shape{Words: &draw.Words{S: label, At: at, Size: letterSize, Anchor: draw.Middle, Ink: letterInk}})
		}
	}
	return pic
}

// letterPlaces keeps letters apart.
type letterPlaces struct {
	room  geom.Box2
	taken []geom.Box2
}

// place is the foot of a letter in the middle of its area, or as near to it as
// no other letter is.
func (l *letterPlaces) place(middle geom.Vec2, letter string) geom.Vec2 {
	half := geom.Vec2{X: 0.36 * letterSize * float64(len(letter)), Y: 0.4 * letterSize}
	box := func(at geom.Vec2) geom.Box2 { return geom.Box2{Min: at.Sub(half), Max: at.Add(half)} }
	best := middle
	for k := range 25 {
		step := geom.Vec2{X: float64(k%5 - 2), Y: float64(k/5 - 2)}
		if k == 0 {
			step = geom.Vec2{}
		}
		at := middle.Add(step.Mul(letterSize))
		b := box(at)
		free := l.room.Contains(b.Min) && l.room.Contains(b.Max)
		for _, t := range l.taken {
			free = free && !b.Overlaps(t)
		}
		if free {
			best = at
			break
		}
	}
	l.taken = append(l.taken, box(best))
	return best.Add(geom.Vec2{Y: 0.36 * letterSize})
}
