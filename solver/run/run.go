package run

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/layout"
	"foldwright/solver/pattern"
)

// Run is a planned run.
type Run struct {
	Copies   int
	Sheets   []Sheet
	Unplaced []Unplaced
	Notes    []Note
	Bill     Bill
	// Stopped tells that Stop ended the search and not its effort.
	Stopped bool
}

// Sheet is a sheet with what is made from it.
type Sheet struct {
	Number     int // from 1
	Stock      int // index in the options
	Repeat     int // how many sheets are worked alike
	Size       geom.Vec2
	Room       geom.Box2 // what is worked of it
	Marks      []layout.Mark
	Placements []Placement // in the order in which they are cut out
	Area       float64     // of the paper in the parts, mm²
	Length     float64     // least x that no part reaches beyond
	Work       Work        // of one sheet

	label  string
	parts  []pattern.Part
	finish draw.Finish
}

// Utilisation is the share of the sheet that goes into parts.
func (s *Sheet) Utilisation() float64 { return s.Area / (s.Size.X * s.Size.Y) }

// Placement is one part on a sheet: turned about the origin of its pattern by
// Rotation, which origin then goes to At.
type Placement struct {
	Part     int // index in the pattern
	Card     int // from 1; the first of the cards when the sheet is repeated
	Piece    int // of the parts alike in one card, from 1
	Rotation geom.Angle
	At       geom.Vec2
}

// Place is the placement as a map of the plane.
func (p *Placement) Place() geom.Placement {
	m := geom.Turn(p.Rotation)
	m.T = p.At
	return m
}

// ErrTooMany is the error of a card with more parts than are laid out at once.
var ErrTooMany = errors.New("run: too many parts")

// ErrAbandoned is the error of a run that was given up.
var ErrAbandoned = errors.New("run: abandoned")

// Check tells whether the options are such that LayOut plans a run; the error
// is an *OptionError.
func Check(p *pattern.Pattern, o Options) error {
	if err := o.check(); err != nil {
		return err
	}
	return o.checkRules(p)
}

// LayOut plans a run of a pattern. Parts for which there is no place are listed
// and the others laid out all the same; the error is an *OptionError,
// a *draw.OptionError of the finish, ErrTooMany or ErrAbandoned.
func LayOut(p *pattern.Pattern, o Options) (*Run, error) {
	if err := Check(p, o); err != nil {
		return nil, err
	}
	r := &Run{Copies: o.Copies}
	var searches []*searcher
	told := &progress{tell: o.Progress}
	for _, st := range o.stacks(p) {
		if err := o.checkTurns(st); err != nil {
			return nil, err
		}
		r.Unplaced = append(r.Unplaced, st.sortOut(&o)...)
		if len(st.pieces) == 0 {
			continue
		}
		if parts(st.pieces) > layout.MaxParts {
			return nil, ErrTooMany
		}
		s := &searcher{stack: st, o: &o, told: told}
		told.expect(s)
		searches = append(searches, s)
	}
	for _, s := range searches {
		s.search()
		if s.err != nil {
			return nil, s.err
		}
		if s.abandoned() {
			return nil, ErrAbandoned
		}
		r.Stopped = r.Stopped || s.stopped
		for i := range s.best.sheets {
			r.Sheets = append(r.Sheets, s.finish(&s.best.sheets[i], p))
		}
		for _, m := range s.best.missed {
			r.Unplaced = append(r.Unplaced, s.unplaced(&m))
		}
	}
	if err := r.finish(p, &o); err != nil {
		return nil, err
	}
	return r, nil
}

// finish numbers and names the sheets and adds up.
func (r *Run) finish(p *pattern.Pattern, o *Options) error {
	for i := range r.Sheets {
		s := &r.Sheets[i]
		s.Number = i + 1
		words := []string{fmt.Sprintf("sheet %d of %d", s.Number, len(r.Sheets))}
		if o.Title != "" {
			words = slices.Insert(words, 0, o.Title)
		}
		if name := o.Stocks[s.Stock].Name; name != "" {
			words = append(words, name)
		}
		if s.Repeat > 1 {
			words = append(words, fmt.Sprintf("cut %d", s.Repeat))
		}
		s.label = strings.Join(words, ", ")
		s.finish = o.Finish
		if err := s.plan(&o.Machine); err != nil {
			return err
		}
	}
	r.Notes = o.notes(p)
	r.Bill = o.bill(p, r)
	return nil
}

// stacks sorts the parts by stock, in the order of the stocks.
func (o *Options) stacks(p *pattern.Pattern) []*stack {
	var out []*stack
	find := func(name string) *stack {
		for _, st := range out {
			if st.name == name {
				return st
			}
		}
		out = append(out, &stack{name: name})
		return out[len(out)-1]
	}
	for i := range o.Stocks {
		st := find(o.Stocks[i].Name)
		st.stocks = append(st.stocks, i)
		st.rooms = append(st.rooms, o.roomOf(&o.Stocks[i]))
	}
	for _, st := range out {
		// Sizes are compared by price, or by area where a price is missing.
		priced := !slices.ContainsFunc(st.stocks, func(i int) bool { return o.Stocks[i].Price == 0 })
		for k, i := range st.stocks {
			cost := o.Stocks[i].Width * o.Stocks[i].Height
			if priced {
				cost = o.Stocks[i].Price
			}
			st.kinds = append(st.kinds, st.rooms[k].kind(&o.Stocks[i], cost))
		}
	}
	for i := range p.Parts {
		rule := o.rule(p.Parts[i].ID)
		st := find(rule.Stock)
		st.pieces = append(st.pieces, newPiece(&p.Parts[i], i, rule))
	}
	return out
}

// finish makes a sheet of the run from a filled one.
func (st *stack) finish(f *filled, p *pattern.Pattern) Sheet {
	r := &st.rooms[f.kind]
	s := Sheet{
		Stock: st.stocks[f.kind], Repeat: f.repeat, Size: r.sheet, Room: r.box, Marks: r.marks,
		Length: f.length, parts: p.Parts,
	}
	for i := range f.parts {
		q := &f.parts[i]
		s.Placements = append(s.Placements, Placement{
			Part: st.pieces[q.piece].index, Card: q.card + 1, Piece: q.nth + 1, Rotation: q.turn, At: q.at,
		})
		s.Area += st.pieces[q.piece].area
	}
	slices.SortStableFunc(s.Placements, func(a, b Placement) int {
		return cmp.Or(cmp.Compare(a.Card, b.Card), cmp.Compare(a.Part, b.Part), cmp.Compare(a.Piece, b.Piece))
	})
	return s
}

// checkRules refuses rules about parts or stocks that do not exist.
func (o *Options) checkRules(p *pattern.Pattern) error {
	var ids, stocks []string
	for i := range p.Parts {
		ids = append(ids, p.Parts[i].ID)
	}
	for i := range o.Stocks {
		if !slices.Contains(stocks, o.Stocks[i].Name) {
			stocks = append(stocks, o.Stocks[i].Name)
		}
	}
	for i := range o.Rules {
		r, at := &o.Rules[i], fmt.Sprintf("parts/%d/", i)
		switch {
		case !slices.Contains(ids, r.Part):
			return &OptionError{Option: at + "part", Reason: "no such part; this design has " + strings.Join(ids, ", ")}
		case slices.ContainsFunc(o.Rules[:i], func(b Rule) bool { return b.Part == r.Part }):
			return &OptionError{Option: at + "part", Reason: "given twice; give each part once"}
		case r.Stock != "" && !slices.Contains(stocks, r.Stock):
			return &OptionError{Option: at + "stock", Reason: "no such stock; there is " + strings.Join(stocks, ", ")}
		}
	}
	return nil
}

// checkTurns refuses rotations of which none goes with the grain of any sheet of
// the stock.
func (o *Options) checkTurns(st *stack) error {
	for i := range st.pieces {
		p := &st.pieces[i]
		if slices.ContainsFunc(st.rooms, func(r room) bool { return len(p.turns(&r)) > 0 }) {
			continue
		}
		// Without rules there is always a turn, and without a grain too.
		rule := slices.IndexFunc(o.Rules, func(r Rule) bool { return r.Part == p.part.ID })
		along := math.Mod((*st.rooms[0].grain-p.grain).Degrees()+360, 180)
		return &OptionError{Option: fmt.Sprintf("parts/%d/rotations", rule), Reason: fmt.Sprintf(
			"none of them lays the grain of %s along that of %s; allow %.4g or %.4g degrees, or free its grain",
			p.part.ID, st.name, along, along+180)}
	}
	return nil
}
