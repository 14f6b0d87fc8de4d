package run

import (
	"strconv"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/pattern"
)

const (
	// sheetID is of the part of a drawing that holds what belongs to the sheet.
	// No part of a card has it: those end in the number of the card.
	sheetID = "sheet"
	// labelHigh and leastLabel are the most and the least height of the line
	// that names the sheet, mm, and labelShare its share of the margin it is
	// written in.
	labelHigh, leastLabel, labelShare = 3.0, pattern.MinLabelHeight * 0.75, 0.5
)

// Drawing is the sheet at true size, its lower left corner at the origin: first
// the marks and the name of the sheet, then the parts in the order in which they
// are cut out.
func (s *Sheet) Drawing() *draw.Drawing {
	d := &draw.Drawing{
		ID: "sheet-" + strconv.Itoa(s.Number), Title: s.label,
		Desc: "Parts seen from the printed face, true size in millimetres. " + draw.Cautions,
		Box:  geom.Box2{Max: s.Size},
	}
	d.Parts = append(d.Parts, s.own())
	for i := range s.Placements {
		p := &s.Placements[i]
		part := s.parts[p.Part].Drawing()
		part.ID += "-" + strconv.Itoa(p.Card)
		if s.parts[p.Part].Count > 1 {
			part.ID += "-" + strconv.Itoa(p.Piece)
		}
		part.Desc = "card " + strconv.Itoa(p.Card)
		part.Place = p.Place()
		d.Parts = append(d.Parts, part)
	}
	return d
}

// Finished is the drawing made ready for the machine.
func (s *Sheet) Finished() (*draw.Drawing, error) {
	d, _, err := s.finish.Apply(s.Drawing())
	return d, err
}

// own is what belongs to the sheet itself: its marks, named, and its name in
// the margin, where that is wide enough.
func (s *Sheet) own() draw.Part {
	out := draw.Part{ID: sheetID, Name: "sheet", Place: geom.Identity}
	for _, m := range s.Marks {
		var path geom.Path
		for _, l := range m.Lines() {
			path = append(path, geom.PolylinePath(l[:], false)...)
		}
		out.Marks = append(out.Marks, draw.Mark{Op: draw.Registration, ID: m.Name, Path: path})
		// In the corner of the cross that no line takes.
		out.Texts = append(out.Texts, draw.Text{
			Op: draw.Registration, At: m.At.Add(geom.Vec2{X: m.Arm / 4, Y: m.Arm / 4}), Height: pattern.MinLabelHeight, S: m.Name,
		})
	}
	if high := min(labelHigh, labelShare*s.Room.Min.Y); high >= leastLabel && s.label != "" {
		high = min(high, high*(s.Size.X-2*s.Room.Min.X)/pattern.TextWidth(s.label, high))
		out.Texts = append(out.Texts, draw.Text{
			Op: draw.Label, At: geom.Vec2{X: s.Room.Min.X, Y: (s.Room.Min.Y - high) / 2}, Height: high, S: s.label,
		})
	}
	return out
}
