package run

import (
	"math"
	"slices"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/pattern"
)

// Bill is what a run takes. Lengths are mm, areas mm², masses g, times s.
type Bill struct {
	Paper     []PaperUse // by stock
	Sheets    int
	SheetArea float64
	PartArea  float64
	PaperMass float64 // of the sheets
	Cost      float64
	Priced    bool // whether every stock used has a price
	CutLength float64
	Score     float64
	Perforate float64
	PenUp     float64
	Time      float64 // of the cutter
	Blades    float64 // in parts of a blade's life
	Glue      Glue
	// CardMass is that of the paper in one card, without glue.
	CardMass float64
}

// PaperUse is what is used of one stock.
type PaperUse struct {
	Stock  int // index in the options
	Sheets int
	Area   float64 // of the sheets
	Mass   float64
	Cost   float64
}

// Glue is what is glued in all the cards.
type Glue struct {
	Joints int
	Area   float64
	Bead   float64 // length of a bead along the middle of every joint
	Volume float64 // of the bead, mm³
	Mass   float64 // where the area is rolled or brushed; 0 when not known
}

// squareMetre is a square metre in mm².
const squareMetre = 1e6

func (o *Options) bill(p *pattern.Pattern, r *Run) Bill {
	b := Bill{Priced: true}
	for i := range o.Stocks {
		st := &o.Stocks[i]
		use := PaperUse{Stock: i}
		for k := range r.Sheets {
			if s := &r.Sheets[k]; s.Stock == i {
				use.Sheets += s.Repeat
			}
		}
		if use.Sheets == 0 {
			continue
		}
		use.Area = float64(use.Sheets) * st.Width * st.Height
		use.Mass = use.Area / squareMetre * st.Grammage
		use.Cost = float64(use.Sheets) * st.Price
		b.Paper = append(b.Paper, use)
		b.Sheets += use.Sheets
		b.SheetArea += use.Area
		b.PaperMass += use.Mass
		b.Cost += use.Cost
		b.Priced = b.Priced && st.Price > 0
	}
	for i := range r.Sheets {
		s := &r.Sheets[i]
		times := float64(s.Repeat)
		b.PartArea += times * s.Area
		b.CutLength += times * s.Work.Length(draw.Cut)
		b.Score += times * s.Work.Length(draw.ScoreMountain, draw.ScoreValley)
		b.Perforate += times * s.Work.Length(draw.Perforate)
		b.PenUp += times * s.Work.PenUp
		b.Time += times * s.Work.Time
	}
	b.Blades = (b.CutLength + b.Perforate) / o.Machine.BladeLife
	b.Glue = o.glue(p)
	for i := range p.Parts {
		part := &p.Parts[i]
		b.CardMass += float64(part.Count) * part.Area() / squareMetre * o.stockOf(part.ID).Grammage
	}
	return b
}

// stockOf is the first stock of the paper a part is cut from.
func (o *Options) stockOf(part string) *Stock {
	name := o.rule(part).Stock
	return &o.Stocks[slices.IndexFunc(o.Stocks, func(s Stock) bool { return s.Name == name })]
}

// glue adds up the tabs and figures that are glued; the marks they go on take
// no glue of their own, and what a lock holds none at all. A bead is half round (π/8 of the square of its width).
func (o *Options) glue(p *pattern.Pattern) Glue {
	var g Glue
	for i := range p.Parts {
		part := &p.Parts[i]
		for k := range part.Glue {
			if a := &part.Glue[k]; a.Tab && !a.Dry {
				n := part.Count
				g.Joints += n
				g.Area += float64(n) * math.Abs(a.Path.Area())
				g.Bead += float64(n) * beadLength(a.Path)
			}
		}
	}
	n := float64(o.Copies)
	g.Joints *= o.Copies
	g.Area *= n
	g.Bead *= n
	g.Volume = g.Bead * math.Pi / 8 * o.Adhesive.Bead * o.Adhesive.Bead
	g.Mass = g.Area / squareMetre * o.Adhesive.Consumption
	return g
}

// beadLength is the length of the rectangle that has the area and the perimeter
// of a glued area, or a quarter of the perimeter where it is rounder than a
// square.
func beadLength(p geom.Path) float64 {
	area, half := math.Abs(p.Area()), p.Length()/2
	// Length and width are the roots of x² - half·x + area.
	return half/2 + math.Sqrt(max(0, half*half/4-area))
}
