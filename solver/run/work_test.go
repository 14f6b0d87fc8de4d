package run

import (
	"math"
	"testing"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/pattern"
)

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

// The time of a move from rest to rest, by the closed forms of the trapezoid of
// speed, l/v + v/a, and of the triangle, 2·sqrt(l/a), which meet where l = v²/a.
func TestMove(t *testing.T) {
	m := Machine{Acceleration: 500}
	for _, c := range []struct{ length, speed, want float64 }{
		{100, 50, 100.0/50 + 50.0/500},
		{2, 50, 2 * math.Sqrt(2.0/500)},
		{5, 50, 0.2}, // both: 5/50 + 50/500, 2·sqrt(5/500)
		{0, 50, 0},
	} {
		if got := m.move(c.length, c.speed); !near(got, c.want, 1e-12) {
			t.Errorf("%g at %g: %g, want %g", c.length, c.speed, got, c.want)
		}
	}
	if got := (&Machine{}).move(100, 50); got != 2 {
		t.Errorf("without acceleration %g", got)
	}
}

// A square of 100 at (5, 5): the tool goes out √50, is put down and lifted, goes
// round four sides with a rest at each corner, and comes back.
func TestTimeOfASquare(t *testing.T) {
	p := &pattern.Pattern{Parts: []pattern.Part{square("square", 100, nil)}}
	o := on(1, Stock{Width: 110, Height: 110})
	o.Registration = false
	o.Machine = Machine{Cut: 50, Score: 1, Perforate: 1, Travel: 200, Acceleration: 500, Lift: 0.3, BladeLife: 1000}
	r := mustLayOut(t, p, o)
	w := r.Sheets[0].Work
	travel := 2 * math.Sqrt(math.Sqrt(50)/500)
	if want := 2*travel + 0.3 + 4*2.1; !near(w.Time, want, 1e-6) {
		t.Errorf("%g s, want %g", w.Time, want)
	}
	if !near(w.PenUp, 2*math.Sqrt(50), 1e-6) || !near(r.Bill.CutLength, 400, 1e-6) || !near(r.Bill.Blades, 0.4, 1e-9) {
		t.Errorf("pen up %g, cut %g, blades %g", w.PenUp, r.Bill.CutLength, r.Bill.Blades)
	}
}

// A circle has no corners: one run around.
func TestTimeOfACircle(t *testing.T) {
	m := Machine{Acceleration: 500}
	const r = 20
	ring := flat(geom.Circle(geom.Vec2{}, r))
	if got, want := m.stroke(append(ring, ring[0]), 50), m.move(2*math.Pi*r, 50); !near(got, want, 1e-3*want) {
		t.Errorf("%g s, want %g", got, want)
	}
}

// The lengths of a run are those of its parts, which the pattern measures along
// their curves.
func TestLengthsAreThoseOfTheParts(t *testing.T) {
	for _, name := range []string{"harbour", "tide_clock", "steps"} {
		p := example(t, name)
		r := mustLayOut(t, p, on(3, stock("card", "A3")))
		cut, score := 0.0, 0.0
		for i := range p.Parts {
			cut += 3 * float64(p.Parts[i].Count) * p.Parts[i].CutLength()
			score += 3 * float64(p.Parts[i].Count) * p.Parts[i].CreaseLength()
		}
		if !near(r.Bill.CutLength, cut, 1e-6*cut) || !near(r.Bill.Score, score, 1e-6*(1+score)) {
			t.Errorf("%s: cut %g of %g, score %g of %g", name, r.Bill.CutLength, cut, r.Bill.Score, score)
		}
	}
}

// An A4 sheet of 80 g/m² weighs 5 g to the hundredth: 0.210 × 0.297 m² × 80
// (ISO 216, and grammage by its definition in ISO 536).
func TestBillOfPaper(t *testing.T) {
	p := &pattern.Pattern{Parts: []pattern.Part{square("tile", 100, nil)}}
	st := stock("copy", "A4")
	st.Grammage, st.Price = 80, 0.02
	o := on(12, st)
	o.Registration = false
	b := mustLayOut(t, p, o).Bill
	// Two by one on 287 by 200 with 2 mm between: 100 + 2 + 100 > 200.
	if b.Sheets != 6 || !near(b.PaperMass/6, 4.99, 0.001) || !near(b.Cost, 0.12, 1e-9) || !b.Priced || !near(b.SheetArea, 6*210*297, 1e-6) {
		t.Errorf("%+v", b)
	}
	if !near(b.CardMass, 0.8, 1e-9) || !near(b.PartArea, 12*1e4, 1e-6) {
		t.Errorf("a card of %g g, parts of %g mm²", b.CardMass, b.PartArea)
	}
}

// A bead runs the length of a strip, and a half round bead of 2 mm has π/2 mm²
// of glue in it.
func TestBillOfGlue(t *testing.T) {
	part := square("tile", 100, nil)
	part.Glue = []pattern.GlueArea{
		{Label: "A", Path: geom.Rect(10, 10, 60, 22), Tab: true},
		{Label: "B", Path: geom.Rect(10, 40, 60, 52)},
		{Label: "C", Path: geom.Rect(10, 70, 60, 82), Tab: true, Dry: true},
	}
	p := &pattern.Pattern{Parts: []pattern.Part{part}}
	o := on(4, stock("card", "A3"))
	o.Adhesive = Adhesive{Bead: 2, Consumption: 100}
	g := mustLayOut(t, p, o).Bill.Glue
	if g.Joints != 4 || !near(g.Area, 4*600, 1e-9) || !near(g.Bead, 4*50, 1e-9) || !near(g.Volume, 200*math.Pi/2, 1e-9) || !near(g.Mass, 0.24, 1e-12) {
		t.Errorf("%+v", g)
	}
	if l := beadLength(geom.Circle(geom.Vec2{}, 10)); !near(l, math.Pi*5, 1e-3) {
		t.Errorf("bead of a circle %g", l)
	}
}

func TestThicknessOfAnotherPaper(t *testing.T) {
	p := example(t, "harbour")
	o := on(1, stock("card", "A3"), stock("board", "A3"))
	o.Caliper = 0.3
	o.Stocks[1].Caliper = 0.5
	if r := mustLayOut(t, p, o); len(r.Notes) != 0 {
		t.Errorf("of a stock that is not used: %+v", r.Notes)
	}
	o.Rules = []Rule{{Part: "quay", Stock: "board"}}
	if r := mustLayOut(t, p, o); len(r.Notes) != 1 || r.Notes[0].Stock != 1 {
		t.Errorf("%+v", r.Notes)
	}
}

// Everything that is scored on a sheet comes before what is cut, and what lies
// inside an outline before the outline.
func TestOrderOfWork(t *testing.T) {
	p := example(t, "tide_clock")
	r := mustLayOut(t, p, on(2, stock("card", "A3")))
	for i := range r.Sheets {
		s := &r.Sheets[i]
		d := s.Drawing()
		for k := 1; k < len(d.Parts); k++ {
			outline := -1
			for m, mark := range d.Parts[k].Marks {
				if mark.Op == draw.Cut && mark.ID == outlineMark {
					outline = m
				} else if mark.Op == draw.Cut && outline >= 0 {
					t.Errorf("%s: %s is cut after the outline", d.Parts[k].ID, mark.ID)
				}
			}
			if outline < 0 {
				t.Errorf("%s has no outline", d.Parts[k].ID)
			}
		}
		if ops := s.Work.Operations; len(ops) == 0 || ops[len(ops)-1].Op != draw.Cut {
			t.Errorf("%+v", ops)
		}
	}
}

func TestRefusals(t *testing.T) {
	p := example(t, "harbour")
	for option, spoil := range map[string]func(*Options){
		"copies":                  func(o *Options) { o.Copies = 0 },
		"effort":                  func(o *Options) { o.Effort = MaxEffort + 1 },
		"stocks":                  func(o *Options) { o.Stocks = nil },
		"stocks/0/width":          func(o *Options) { o.Stocks[0].Width = math.NaN() },
		"stocks/0/height":         func(o *Options) { o.Stocks[0].Height = math.Inf(1) },
		"stocks/0/price":          func(o *Options) { o.Stocks[0].Price = -1 },
		"stocks/0":                func(o *Options) { o.Margin = 200 },
		"spacing":                 func(o *Options) { o.Spacing = -1 },
		"bed/width":               func(o *Options) { o.Bed = Bed{Height: 300} },
		"machine/cut_speed":       func(o *Options) { o.Machine.Cut = 0 },
		"adhesive/bead_width":     func(o *Options) { o.Adhesive.Bead = 0 },
		"parts/0/part":            func(o *Options) { o.Rules = []Rule{{Part: "pier"}} },
		"parts/0/stock":           func(o *Options) { o.Rules = []Rule{{Part: "quay", Stock: "felt"}} },
		"parts/1/part":            func(o *Options) { o.Rules = []Rule{{Part: "quay"}, {Part: "quay"}} },
		"machine/blade_life":      func(o *Options) { o.Machine.BladeLife = 0 },
		"machine/perforate_speed": func(o *Options) { o.Machine.Perforate = math.Inf(1) },
	} {
		o := on(2, stock("card", "A3"))
		spoil(&o)
		_, err := LayOut(p, o)
		refused, ok := err.(*OptionError)
		if !ok || refused.Option != option || refused.Error() == "" {
			t.Errorf("%s: %v", option, err)
		}
	}
}

// Two squares of 40 with no room between them share a side, which is cut once:
// 7 sides of 40. With a kerf of 1 they lie that far apart, and each is cut half
// of it outside, round at the corners: 4·40 + 2π·0.5.
func TestFinish(t *testing.T) {
	part := square("tile", 40, nil)
	part.Count = 2
	part.Creases = []pattern.Crease{{ID: "tile.ridge", From: geom.Vec2{X: 20}, To: geom.Vec2{X: 20, Y: 40}}}
	p := &pattern.Pattern{Parts: []pattern.Part{part}}
	o := on(1, Stock{Name: "card", Width: 91, Height: 50})
	o.Registration, o.Spacing = false, 0
	r := mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	if !near(r.Bill.CutLength, 280, 1e-2) || !near(r.Bill.Score, 80, 1e-6) {
		t.Errorf("cut %g, score %g", r.Bill.CutLength, r.Bill.Score)
	}

	o.Finish.Kerf = 0.9
	r = mustLayOut(t, p, o)
	if want := 2 * (160 + math.Pi*0.9); !near(r.Bill.CutLength, want, 0.1) || len(r.Unplaced) > 0 {
		t.Errorf("with a kerf cut %g, want %g; left %+v", r.Bill.CutLength, want, r.Unplaced)
	}
	o.Spacing = 0.5
	apart := o
	apart.Spacing = o.Finish.Kerf
	assertRun(t, p, apart, mustLayOut(t, p, o))

	// Perforated, dashes of 3 with ties of 1 and a whole tie at either end.
	o.Finish = draw.Finish{Scores: draw.Perforated}
	r = mustLayOut(t, p, o)
	if b := &r.Bill; b.Score != 0 || !near(b.Perforate, 2*(40*3.0/4), 4) || !near(b.Blades, (b.CutLength+b.Perforate)/o.Machine.BladeLife, 1e-12) {
		t.Errorf("%+v", b)
	}
	o.Finish.Kerf = -1
	if _, err := LayOut(p, o); err == nil {
		t.Error("a kerf of -1 is taken")
	}
}
