package api

import (
	"fmt"

	"foldwright/solver/design"
	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/pattern"
	"foldwright/solver/run"
)

// layoutWire gives a run in the design's units.
type layoutWire struct {
	patternWire
	d     *design.Design
	parts *pattern.Pattern
	o     *run.Options
}

func (l *plannedRun) wire() *Layout {
	doc, o, r := l.doc, &l.options, l.run
	w := layoutWire{patternWire{doc.Design.Units.PerUnit()}, doc.Design, l.parts, o}
	out := &Layout{
		Units: Units(doc.Design.Units), DesignHash: doc.Hash, Copies: r.Copies, EndedBy: LayoutEndedByEffort,
		Sheets:     make([]LayoutSheet, len(r.Sheets)),
		Unplaced:   make([]Unplaced, len(r.Unplaced)),
		Notes:      make([]StockNote, len(r.Notes)),
		Allowances: wireAllowances(doc, l.changes),
		Bill:       w.bill(r),
		Cautions:   draw.Cautions,
	}
	if r.Stopped {
		out.EndedBy = LayoutEndedByTime
	}
	for i := range r.Sheets {
		out.Sheets[i] = w.sheet(&r.Sheets[i])
	}
	for i := range r.Unplaced {
		out.Unplaced[i] = w.unplaced(&r.Unplaced[i])
	}
	for i, n := range r.Notes {
		st := &o.Stocks[n.Stock]
		out.Notes[i] = StockNote{Code: CaliperDiffers, Stock: st.Name, Detail: fmt.Sprintf(
			"%s is %s thick, while slots are made for paper of %s; take paper as thick, or give the design its caliper",
			st.Name, doc.Design.Show(st.Caliper), doc.Design.Show(n.Caliper))}
	}
	return out
}

func (w layoutWire) size(v geom.Vec2) Size { return Size{Width: w.length(v.X), Height: w.length(v.Y)} }

func (w layoutWire) area(mm2 float64) float64 { return round6(mm2 / (w.perUnit * w.perUnit)) }

// paper is the name of a stock's size, where it has one.
func (w layoutWire) paper(stock int) *string {
	if name := w.o.Stocks[stock].Paper; name != "" {
		return &name
	}
	return nil
}

func (w layoutWire) sheet(s *run.Sheet) LayoutSheet {
	room := s.Room.Size()
	out := LayoutSheet{
		Number: s.Number, Stock: w.o.Stocks[s.Stock].Name, Paper: w.paper(s.Stock), Repeat: s.Repeat,
		Size:        w.size(s.Size),
		Room:        Room{X: w.length(s.Room.Min.X), Y: w.length(s.Room.Min.Y), Width: w.length(room.X), Height: w.length(room.Y)},
		Marks:       make([]SheetMark, len(s.Marks)),
		Placements:  make([]PartPlacement, len(s.Placements)),
		Utilisation: round6(s.Utilisation()), UsedLength: w.length(s.Length),
		Working: SheetWork{Operations: make([]SheetOperation, len(s.Work.Operations)), PenUp: w.length(s.Work.PenUp), Time: round6(s.Work.Time)},
	}
	for i, m := range s.Marks {
		out.Marks[i] = SheetMark{Name: m.Name, X: w.length(m.At.X), Y: w.length(m.At.Y)}
	}
	for i, p := range s.Placements {
		out.Placements[i] = PartPlacement{
			Part: w.parts.Parts[p.Part].ID, Card: p.Card, Piece: p.Piece,
			X: w.length(p.At.X), Y: w.length(p.At.Y), Angle: round6(p.Rotation.Degrees()),
		}
	}
	for i, o := range s.Work.Operations {
		out.Working.Operations[i] = SheetOperation{Operation: OperationName(o.Op.String()), Strokes: o.Strokes, Length: w.length(o.Length)}
	}
	return out
}

func (w layoutWire) unplaced(u *run.Unplaced) Unplaced {
	part := w.parts.Parts[u.Part].ID
	out := Unplaced{Code: UnplacedCode(u.Code), Part: part, Stock: u.Stock, Copies: u.Copies}
	switch u.Code {
	case run.PartLargerThanBed:
		size, room := w.size(u.Size), w.size(u.Room)
		out.Size, out.Room = &size, &room
		out.Amount = &Amount{Value: w.length(u.Over), Unit: string(w.d.Units)}
		out.Detail = fmt.Sprintf("%s is %s by %s as it fits best, and there are %s by %s: %s too little. ",
			part, w.d.Show(u.Size.X), w.d.Show(u.Size.Y), w.d.Show(u.Room.X), w.d.Show(u.Room.Y), w.d.Show(u.Over))
		if u.Grain {
			out.Detail += "Across the grain it would fit: free its grain, or take paper with the grain along the other side."
		} else {
			out.Detail += "Take larger sheets and a larger bed, or narrower margins."
		}
	case run.NoRoom:
		out.Detail = "It is not too large by itself, but does not go with the registration marks or what must lie on the same sheet. " +
			"Leave the marks out, part the group, or take larger sheets."
	case run.NoSheetsLeft:
		out.Detail = "The sheets on hand are used up. Get more, or make fewer copies."
	case run.OutOfTime:
		out.Detail = "The search ended before its turn came. Give more time_limit or effort, or ask for fewer copies."
	}
	return out
}

func (w layoutWire) bill(r *run.Run) Bill {
	b := &r.Bill
	out := Bill{Paper: make([]PaperUse, len(b.Paper)), Run: w.sums(b, 1), PerCopy: w.sums(b, r.Copies), CardMass: round6(b.CardMass)}
	if b.SheetArea > 0 {
		out.Utilisation = round6(b.PartArea / b.SheetArea)
	}
	for i, u := range b.Paper {
		st := &w.o.Stocks[u.Stock]
		out.Paper[i] = PaperUse{Stock: st.Name, Paper: w.paper(u.Stock), Sheets: u.Sheets, Area: w.area(u.Area), Mass: round6(u.Mass)}
		if st.Price > 0 {
			cost := round6(u.Cost)
			out.Paper[i].Cost = &cost
		}
	}
	return out
}

// sums shares a bill out among so many.
func (w layoutWire) sums(b *run.Bill, among int) BillSums {
	n := float64(among)
	out := BillSums{
		Sheets: round6(float64(b.Sheets) / n), SheetArea: w.area(b.SheetArea / n), PartArea: w.area(b.PartArea / n), PaperMass: round6(b.PaperMass / n),
		CutLength: w.length(b.CutLength / n), ScoreLength: w.length(b.Score / n), PerforateLength: w.length(b.Perforate / n), PenUp: w.length(b.PenUp / n),
		Time: round6(b.Time / n), Blades: round6(b.Blades / n), Joints: b.Glue.Joints / among,
		GlueArea: w.area(b.Glue.Area / n), BeadLength: w.length(b.Glue.Bead / n), BeadVolume: round6(b.Glue.Volume / mm3PerMillilitre / n),
	}
	if b.Priced {
		cost := round6(b.Cost / n)
		out.PaperCost = &cost
	}
	if w.o.Adhesive.Consumption > 0 {
		mass := round6(b.Glue.Mass / n)
		out.GlueMass = &mass
	}
	return out
}

const mm3PerMillilitre = 1000
