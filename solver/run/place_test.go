package run

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"foldwright/solver/geom"
	"foldwright/solver/pattern"
)

// reporter is what plain and property tests have in common.
type reporter interface {
	Helper()
	Errorf(string, ...any)
	Fatal(...any)
	Fatalf(string, ...any)
}

// fine is the chord error of the outlines handed to the other library, mm.
const fine = 0.001

// polygonOf hands the paper of a part, where it is placed, to the independent
// geometry library.
func polygonOf(t reporter, part *pattern.Part, p *Placement) sf.Geometry {
	t.Helper()
	var lines []sf.LineString
	for _, ring := range append(part.Outline.Transform(p.Place()).Flatten(fine), part.Holes.Transform(p.Place()).Flatten(fine)...) {
		var c []float64
		for i := range len(ring) + 1 {
			c = append(c, ring[i%len(ring)].X, ring[i%len(ring)].Y)
		}
		lines = append(lines, sf.NewLineString(sf.NewSequence(c, sf.DimXY)))
	}
	g := sf.NewPolygon(lines)
	if err := g.Validate(); err != nil {
		t.Fatalf("%s: %v", part.ID, err)
	}
	return g.AsGeometry()
}

func bounds(g sf.Geometry) geom.Box2 {
	lo, _ := g.Envelope().Min().XY()
	hi, _ := g.Envelope().Max().XY()
	return geom.Box2{Min: geom.Vec2{X: lo.X, Y: lo.Y}, Max: geom.Vec2{X: hi.X, Y: hi.Y}}
}

// assertRun holds a run against its promises: nothing on a sheet is nearer to
// anything else than the spacing, all is inside the room and off the marks,
// follows the grain, lies on its stock, and no part is lost or made twice.
func assertRun(t reporter, p *pattern.Pattern, o Options, r *Run) {
	t.Helper()
	made := make([]int, len(p.Parts))
	used := map[int]int{}
	for i := range r.Sheets {
		s := &r.Sheets[i]
		st := &o.Stocks[s.Stock]
		used[s.Stock] += s.Repeat
		shapes := make([]sf.Geometry, len(s.Placements))
		seen := map[[3]int]bool{}
		room := s.Room.Grow(curveTolerance)
		for k := range s.Placements {
			q := &s.Placements[k]
			part := &p.Parts[q.Part]
			made[q.Part] += s.Repeat
			if key := [3]int{q.Part, q.Card, q.Piece}; seen[key] || q.Card < 1 || q.Card > o.Copies || q.Piece < 1 || q.Piece > part.Count {
				t.Errorf("sheet %d: %v is there twice or does not exist", s.Number, key)
			} else {
				seen[key] = true
			}
			shapes[k] = polygonOf(t, part, q)
			if b := bounds(shapes[k]); !room.Contains(b.Min) || !room.Contains(b.Max) {
				t.Errorf("sheet %d: %s at %v is outside %v", s.Number, part.ID, b, s.Room)
			}
			rule := o.rule(part.ID)
			if rule.Stock != st.Name {
				t.Errorf("%s of %q lies on %q", part.ID, rule.Stock, st.Name)
			}
			if st.Grain != NoSide && !rule.FreeGrain {
				along := geom.Turn(q.Rotation).Dir(part.Grain)
				if (s.Size.Y > s.Size.X) == (st.Grain == LongSide) {
					along.X, along.Y = along.Y, along.X
				}
				if math.Abs(along.Y) > 0.01 { // half a degree
					t.Errorf("sheet %d: %s lies across the grain", s.Number, part.ID)
				}
			}
			for _, m := range s.Marks {
				b := m.Box()
				if d, ok := sf.Distance(shapes[k], sf.NewEnvelope(sf.XY{X: b.Min.X, Y: b.Min.Y}, sf.XY{X: b.Max.X, Y: b.Max.Y}).AsGeometry()); !ok || d < o.Spacing-0.01 {
					t.Errorf("sheet %d: %s is %g from mark %s", s.Number, part.ID, d, m.Name)
				}
			}
			for j := range k {
				if d, ok := sf.Distance(shapes[k], shapes[j]); !ok || d < o.Spacing-0.001 {
					t.Errorf("sheet %d: %s and %s are %g apart, less than %g", s.Number, part.ID, p.Parts[s.Placements[j].Part].ID, d, o.Spacing)
				}
				// Without a spacing, curves may pass their chords.
				limit := 0.01
				if o.Spacing == 0 {
					limit = 2 * curveTolerance * part.Outline.Length()
				}
				if shared, err := sf.Intersection(shapes[k], shapes[j]); err != nil || shared.Area() > limit {
					t.Errorf("sheet %d: %s and %s share %g mm² (%v)", s.Number, part.ID, p.Parts[s.Placements[j].Part].ID, shared.Area(), err)
				}
			}
		}
	}
	for _, u := range r.Unplaced {
		made[u.Part] += u.Copies
	}
	for i := range made {
		if want := o.Copies * p.Parts[i].Count; made[i] != want {
			t.Errorf("%s: %d of %d accounted for", p.Parts[i].ID, made[i], want)
		}
	}
	for i, n := range used {
		if o.Stocks[i].OnHand > 0 && n > o.Stocks[i].OnHand {
			t.Errorf("%d sheets of stock %d used, %d on hand", n, i, o.Stocks[i].OnHand)
		}
	}
}

// Every example goes onto sheets, ten times over, on whole sheets of A3 and on
// a bed of 300 by 300.
func TestExamples(t *testing.T) {
	for _, name := range []string{"harbour", "ferry", "tide_clock", "sail", "crate", "steps", "regatta"} {
		p := example(t, name)
		for _, bed := range []Bed{{}, {Width: 300, Height: 300, Margin: 5}} {
			o := on(10, stock("card", "A3"))
			o.Bed, o.Effort = bed, 20
			r := mustLayOut(t, p, o)
			assertRun(t, p, o, r)
			if len(r.Unplaced) > 0 || r.Stopped || len(r.Sheets) == 0 {
				t.Errorf("%s: %d sheets, %+v left, stopped %v", name, len(r.Sheets), r.Unplaced, r.Stopped)
			}
		}
	}
}

func TestAnyRun(t *testing.T) {
	patterns := []*pattern.Pattern{example(t, "harbour"), example(t, "ferry"), example(t, "hatch"), example(t, "gull")}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(patterns).Draw(t, "pattern")
		o := on(rapid.IntRange(1, 5).Draw(t, "copies"),
			stock("heavy", rapid.SampledFrom([]string{"A3", "A4", "SRA3", "A2"}).Draw(t, "heavy")),
			stock("light", rapid.SampledFrom([]string{"A5", "A4"}).Draw(t, "light")))
		o.Effort = rapid.IntRange(1, 10).Draw(t, "effort")
		o.Seed = rapid.Uint64().Draw(t, "seed")
		o.Spacing = rapid.Float64Range(0, 8).Draw(t, "spacing")
		o.Margin = rapid.Float64Range(0, 12).Draw(t, "margin")
		o.Registration = rapid.Bool().Draw(t, "registration")
		o.KeepTogether = rapid.Bool().Draw(t, "together")
		for i := range o.Stocks {
			o.Stocks[i].Grain = rapid.SampledFrom([]Side{NoSide, LongSide, ShortSide}).Draw(t, "grain")
			o.Stocks[i].OnHand = rapid.IntRange(0, 4).Draw(t, "on hand")
		}
		for i := range p.Parts {
			if i > 0 && rapid.Bool().Draw(t, "ruled") {
				o.Rules = append(o.Rules, Rule{
					Part: p.Parts[i].ID, Stock: "light", FreeGrain: rapid.Bool().Draw(t, "free"),
					Together: rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "group"),
				})
			}
		}
		r, err := LayOut(p, o)
		if err != nil {
			t.Fatal(err)
		}
		assertRun(t, p, o, r)
	})
}

// square is a part of its own, side by side long, with the grain along y.
func square(id string, side float64, holes geom.Path) pattern.Part {
	return pattern.Part{ID: id, Name: id, Count: 1, Outline: geom.Rect(0, 0, side, side), Holes: holes, Grain: geom.Vec2{Y: 1}}
}

// A square of 40 has no room on a sheet of 110 with a frame of 100 but in the
// window of the frame, of 60. It must be cut out before the window, which would
// take it along.
func TestPartInTheWindowOfAnother(t *testing.T) {
	p := &pattern.Pattern{Parts: []pattern.Part{
		square("frame", 100, geom.Rect(20, 20, 80, 80).Reverse()), square("small", 40, nil),
	}}
	o := on(3, Stock{Name: "card", Width: 110, Height: 110})
	o.Registration = false
	r := mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	if len(r.Sheets) != 1 || r.Sheets[0].Repeat != 3 || len(r.Sheets[0].Placements) != 2 {
		t.Fatalf("%+v, left %+v", r.Sheets, r.Unplaced)
	}
	if first := r.Sheets[0].Placements[0]; p.Parts[first.Part].ID != "small" {
		t.Errorf("%s is cut out first", p.Parts[first.Part].ID)
	}
	d := r.Sheets[0].Drawing()
	if d.Parts[1].ID != "small-1" || d.Parts[2].ID != "frame-1" {
		t.Errorf("drawn in the order %s, %s", d.Parts[1].ID, d.Parts[2].ID)
	}
}

// Without a bed, 12 squares of 40, 2 apart, go 6 by 4 on A4 within 5 mm: 6·40 +
// 5·2 = 250 of 287, 4·40 + 3·2 = 166 of 200. Two sheets of 24 are one sheet
// twice.
func TestEqualSheetsAreOne(t *testing.T) {
	part := square("tile", 40, nil)
	part.Count = 12
	p := &pattern.Pattern{Parts: []pattern.Part{part}}
	o := on(4, stock("card", "A4"))
	o.Registration = false
	r := mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	if len(r.Sheets) != 1 || r.Sheets[0].Repeat != 2 || r.Bill.Sheets != 2 {
		t.Errorf("%d different sheets, %d in all", len(r.Sheets), r.Bill.Sheets)
	}
}

func TestPartLargerThanBed(t *testing.T) {
	p := example(t, "generations") // pages of 200 by 260: 400 across, the grain along 260
	o := on(2, stock("card", "A3"))
	r := mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	// The grain of A3 runs along 420. The room is 410 by 287, so that the 400
	// stick out of the 287.
	if len(r.Unplaced) != 1 {
		t.Fatalf("left %+v", r.Unplaced)
	}
	u := r.Unplaced[0]
	if u.Code != PartLargerThanBed || p.Parts[u.Part].ID != "page" || u.Copies != 2 || math.Abs(u.Over-(400-287)) > 1e-9 || !u.Grain {
		t.Errorf("%+v", u)
	}
	if len(r.Sheets) == 0 {
		t.Error("the other parts are not laid out")
	}
	// Across the grain it fits.
	o.Rules = []Rule{{Part: "page", FreeGrain: true}}
	o.Registration = false
	if r = mustLayOut(t, p, o); len(r.Unplaced) > 0 {
		t.Errorf("left %+v", r.Unplaced)
	}
	assertRun(t, p, o, r)
	// On a bed of 300 it does not fit either way.
	o.Bed = Bed{Width: 300, Height: 300}
	if r = mustLayOut(t, p, o); len(r.Unplaced) != 1 || r.Unplaced[0].Grain || math.Abs(r.Unplaced[0].Over-(400-295)) > 1e-9 {
		t.Errorf("left %+v", r.Unplaced)
	}
}

func TestStocks(t *testing.T) {
	p := example(t, "harbour")
	heavy, light := stock("heavy", "SRA3"), stock("light", "A4")
	heavy.Grammage, light.Grammage = 300, 160
	o := on(6, heavy, light)
	for i := 1; i < len(p.Parts); i++ {
		o.Rules = append(o.Rules, Rule{Part: p.Parts[i].ID, Stock: "light"})
	}
	r := mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	if len(r.Unplaced) > 0 || len(r.Bill.Paper) != 2 {
		t.Fatalf("left %+v, %+v", r.Unplaced, r.Bill.Paper)
	}

	// Two sheets on hand carry four of the six pages.
	o.Stocks[0].OnHand = 2
	r = mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	if len(r.Unplaced) != 1 || r.Unplaced[0].Code != NoSheetsLeft || r.Unplaced[0].Copies != 2 {
		t.Errorf("left %+v", r.Unplaced)
	}

	// Of one paper in two sizes, the cheaper is taken.
	large, small := stock("card", "SRA3"), stock("card", "A3")
	large.Price, small.Price = 0.20, 0.35
	o = on(6, small, large)
	r = mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	if slices.ContainsFunc(r.Sheets, func(s Sheet) bool { return s.Stock == 0 }) {
		t.Error("the dearer and smaller sheet is used")
	}
}

func TestCardsKeptTogether(t *testing.T) {
	p := example(t, "harbour")
	o := on(4, stock("card", "A3"))
	o.KeepTogether = true
	r := mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	where := map[int]int{}
	for i := range r.Sheets {
		for _, q := range r.Sheets[i].Placements {
			if n, ok := where[q.Card]; ok && n != i {
				t.Errorf("card %d is on sheets %d and %d", q.Card, n+1, i+1)
			}
			where[q.Card] = i
		}
	}
}

func TestTheSameAgain(t *testing.T) {
	p := example(t, "harbour")
	o := on(7, stock("card", "A3"))
	o.Effort, o.Seed = 30, 9
	a, b := mustLayOut(t, p, o), mustLayOut(t, p, o)
	if len(a.Sheets) != len(b.Sheets) {
		t.Fatal("not the same number of sheets")
	}
	for i := range a.Sheets {
		if !slices.Equal(a.Sheets[i].Placements, b.Sheets[i].Placements) {
			t.Errorf("sheet %d differs", i+1)
		}
	}
}

// A search that is stopped at once still places everything, one card after
// another.
func TestStopped(t *testing.T) {
	p := example(t, "harbour")
	o := on(10, stock("card", "A3"))
	o.Stop = func() bool { return true }
	r := mustLayOut(t, p, o)
	assertRun(t, p, o, r)
	if !r.Stopped || len(r.Sheets) != 1 || r.Sheets[0].Repeat != 10 || len(r.Unplaced) > 0 {
		t.Errorf("stopped %v, %d sheets, left %+v", r.Stopped, len(r.Sheets), r.Unplaced)
	}
	o.Stop = nil
	if better := mustLayOut(t, p, o); better.Bill.Sheets >= r.Bill.Sheets || better.Stopped {
		t.Errorf("%d sheets with time, %d without", better.Bill.Sheets, r.Bill.Sheets)
	}
}

// What has no time is laid in rows: everything has a place all the same, within
// the bed and clear of the marks, for every design.
func TestNoTime(t *testing.T) {
	for _, name := range []string{"harbour", "lighthouse", "harbour_office"} {
		for _, together := range []bool{false, true} {
			p, o := example(t, name), on(5, stock("card", "A2"))
			o.KeepTogether = together
			for _, from := range []int{0, 20} { // at once, and part-way through the first sheet
				asked := 0
				o.Stop = func() bool { asked++; return asked > from }
				r := mustLayOut(t, p, o)
				assertRun(t, p, o, r)
				if !r.Stopped || len(r.Unplaced) > 0 {
					t.Errorf("%s: stopped %v, left %+v", name, r.Stopped, r.Unplaced)
				}
			}
		}
	}
}

// Progress never falls, and ends at all there is to do, however the search ends.
func TestProgressReachesItsEnd(t *testing.T) {
	p := example(t, "harbour")
	for name, stop := range map[string]func() bool{"by its effort": nil, "at once": func() bool { return true }} {
		o := on(7, stock("card", "A3"), stock("spare", "A4"))
		o.Effort, o.Stop = 20, stop
		told, last, total := 0, 0, 0
		o.Progress = func(done, of int) {
			if done < last || done > of || told > 0 && of != total {
				t.Errorf("%s: %d of %d after %d of %d", name, done, of, last, total)
			}
			told, last, total = told+1, done, of
		}
		mustLayOut(t, p, o)
		if total == 0 || last != total || stop == nil && told < 10 {
			t.Errorf("%s: told %d times, at last %d of %d", name, told, last, total)
		}
	}
}

func TestAbandoned(t *testing.T) {
	o := on(10, stock("card", "A3"))
	asked := 0
	o.Abandon = func() bool { asked++; return asked > 3 }
	if r, err := LayOut(example(t, "harbour"), o); r != nil || !errors.Is(err, ErrAbandoned) {
		t.Errorf("%v, %v", r, err)
	}
}

// A rotation that the grain leaves out is a fault of the request, wherever on
// the sheet the part would lie.
func TestRotationsAcrossTheGrain(t *testing.T) {
	p := &pattern.Pattern{Parts: []pattern.Part{square("tile", 40, nil)}}
	st := stock("card", "A4")
	st.Grain = ShortSide
	o := on(1, st)
	o.Rules = []Rule{{Part: "tile", Rotations: []geom.Angle{0, geom.Degrees(45)}}}
	var refused *OptionError
	if _, err := LayOut(p, o); !errors.As(err, &refused) || refused.Option != "parts/0/rotations" || !strings.Contains(refused.Reason, "allow 90 or 270 degrees") {
		t.Fatalf("%v", err)
	}
	o.Rules[0].Rotations = []geom.Angle{geom.Degrees(90)}
	if r := mustLayOut(t, p, o); len(r.Unplaced) > 0 {
		t.Errorf("%+v", r.Unplaced)
	}
}
