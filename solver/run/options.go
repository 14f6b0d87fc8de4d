package run

import (
	"fmt"
	"math"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
)

// Side is a side of a sheet.
type Side uint8

const (
	NoSide Side = iota // not known
	LongSide
	ShortSide
)

// Stock is a paper in one size of sheet. Stocks of one name are the same paper
// in several sizes, of which the cheapest is taken.
type Stock struct {
	Name          string
	Paper         string  // name of the size; may be empty
	Width, Height float64 // of a sheet, mm
	Caliper       float64 // thickness, mm
	Grammage      float64 // g/m²
	Grain         Side    // along which the fibres run
	Price         float64 // of a sheet, in any currency; 0 when unknown
	OnHand        int     // sheets there are; 0 for as many as needed
}

// Bed is what the cutter reaches. The zero value reaches everything.
type Bed struct {
	Width, Height float64
	Margin        float64 // along its edges, out of reach
}

// Rule says how one part is laid out.
type Rule struct {
	Part      string // ID of the part
	Stock     string // name; empty for the first stock
	FreeGrain bool   // whether it may lie across the grain of the sheet
	// Rotations lists the turns allowed, of which the grain leaves some; none
	// means the right angles, or along the grain.
	Rotations []geom.Angle
	// Together names parts that lie on one sheet, those of one card each.
	Together string
}

// Machine is how fast the cutter works. Speeds are mm/s.
type Machine struct {
	Cut, Score, Perforate, Travel float64
	Acceleration                  float64 // mm/s²; 0 for none to speak of
	Lift                          float64 // to raise and lower the tool once, s
	BladeLife                     float64 // cut by one blade, mm
}

// Adhesive is how glue is laid on.
type Adhesive struct {
	Bead        float64 // width of a bead, mm
	Consumption float64 // of rolled or brushed areas, g/m²; 0 when not known
}

// Options are the run that is wanted.
type Options struct {
	Title        string
	Caliper      float64 // of the paper the pattern is made for, mm; 0 when not known
	Copies       int
	Stocks       []Stock
	Bed          Bed
	Margin       float64 // along the edges of every sheet, kept clear
	Spacing      float64 // between parts
	Registration bool    // marks at three corners
	KeepTogether bool    // all parts of a card of one stock on one sheet
	Rules        []Rule
	Machine      Machine
	Adhesive     Adhesive
	Finish       draw.Finish // how sheets are made ready for the machine

	Seed   uint64
	Effort int // passes over the parts in each attempt
	// Stop is asked often; when it gives true the best run so far is returned,
	// in which everything that has a place has one.
	Stop func() bool
	// Abandon is asked as often; when it gives true nobody waits for the run any
	// more and it ends in ErrAbandoned.
	Abandon func() bool
	// Progress is told how many passes are done of those that the attempts may
	// make; nil is told nothing. Attempts that are not needed count as done.
	Progress func(done, of int)
}

// DefaultOptions are the middle of common practice: speeds of a desktop cutter
// in card, 2 mm between parts and 5 mm along the edges, a bead as a fine nozzle
// leaves it. The stocks are the caller's.
func DefaultOptions() Options {
	return Options{
		Copies: 1, Margin: 5, Spacing: 2, Registration: true, Effort: 100,
		Machine:  Machine{Cut: 100, Score: 150, Perforate: 60, Travel: 300, Acceleration: 1500, Lift: 0.15, BladeLife: 2_000_000},
		Adhesive: Adhesive{Bead: 1.5},
	}
}

// Most of what a run may have.
const (
	MaxCopies = 1000
	MaxStocks = 12
	MaxEffort = 20_000
)

// Quantity is what a number out of range measures.
type Quantity uint8

const (
	Plain Quantity = iota
	Length
	Speed        // length per second
	Acceleration // length per second squared
)

// OptionError is an option out of its range, or for another reason.
type OptionError struct {
	Option   string // its path, as in "stocks/1/width"
	Quantity Quantity
	Min, Max float64 // in mm where lengths come in
	Reason   string  // instead of a range
}

func (e *OptionError) Error() string {
	if e.Reason != "" {
		return "run: " + e.Option + " " + e.Reason
	}
	return fmt.Sprintf("run: %s must be %g to %g", e.Option, e.Min, e.Max)
}

// limit is the range of one option.
type limit struct {
	option   string
	quantity Quantity
	value    float64
	min, max float64
}

func (l *limit) check() error {
	if l.value >= l.min && l.value <= l.max && !math.IsInf(l.value, 0) {
		return nil
	}
	return &OptionError{Option: l.option, Quantity: l.quantity, Min: l.min, Max: l.max}
}

const (
	// smallestSheet and largestSheet bound sheets and beds, mm: a business card
	// across, and the widest rolls there are.
	smallestSheet, largestSheet = 20.0, 5000.0
	slowest, fastest            = 0.1, 10_000.0 // mm/s
)

func (o *Options) limits() []limit {
	m := &o.Machine
	list := []limit{
		{"copies", Plain, float64(o.Copies), 1, MaxCopies},
		{"margin", Length, o.Margin, 0, 500},
		{"spacing", Length, o.Spacing, 0, 200},
		{"effort", Plain, float64(o.Effort), 1, MaxEffort},
		{"machine/cut_speed", Speed, m.Cut, slowest, fastest},
		{"machine/score_speed", Speed, m.Score, slowest, fastest},
		{"machine/perforate_speed", Speed, m.Perforate, slowest, fastest},
		{"machine/travel_speed", Speed, m.Travel, slowest, fastest},
		{"machine/acceleration", Acceleration, m.Acceleration, 0, 1e6},
		{"machine/lift_time", Plain, m.Lift, 0, 60},
		{"machine/blade_life", Plain, m.BladeLife / 1000, 1, 1e6},
		{"adhesive/bead_width", Length, o.Adhesive.Bead, 0.1, 50},
		{"adhesive/consumption", Plain, o.Adhesive.Consumption, 0, 2000},
	}
	if o.Bed != (Bed{}) {
		list = append(list,
			limit{"bed/width", Length, o.Bed.Width, smallestSheet, largestSheet},
			limit{"bed/height", Length, o.Bed.Height, smallestSheet, largestSheet},
			limit{"bed/margin", Length, o.Bed.Margin, 0, 500})
	}
	for i := range o.Stocks {
		s, at := &o.Stocks[i], fmt.Sprintf("stocks/%d/", i)
		list = append(list,
			limit{at + "width", Length, s.Width, smallestSheet, largestSheet},
			limit{at + "height", Length, s.Height, smallestSheet, largestSheet},
			limit{at + "caliper", Length, s.Caliper, 0, 5},
			limit{at + "grammage", Plain, s.Grammage, 0, 3000},
			limit{at + "price", Plain, s.Price, 0, 1e6},
			limit{at + "on_hand", Plain, float64(s.OnHand), 0, 1e6})
	}
	return list
}

func (o *Options) check() error {
	if n := len(o.Stocks); n == 0 || n > MaxStocks {
		return &OptionError{Option: "stocks", Reason: fmt.Sprintf("must be 1 to %d stocks", MaxStocks)}
	}
	for _, l := range o.limits() {
		if err := l.check(); err != nil {
			return err
		}
	}
	if err := o.Finish.Check(); err != nil {
		return err
	}
	for i := range o.Stocks {
		if size := o.roomOf(&o.Stocks[i]).box.Size(); !(size.X > 0 && size.Y > 0) {
			return &OptionError{Option: fmt.Sprintf("stocks/%d", i), Reason: "leaves no room between the margins of the sheet and of the bed"}
		}
	}
	return nil
}

// rule is what is said of a part.
func (o *Options) rule(part string) Rule {
	r := Rule{Part: part}
	for i := range o.Rules {
		if o.Rules[i].Part == part {
			r = o.Rules[i]
		}
	}
	if r.Stock == "" {
		r.Stock = o.Stocks[0].Name
	}
	if o.KeepTogether {
		r.Together = allTogether
	}
	return r
}

// allTogether cannot be the name that a rule gives: those are not empty and
// have no blanks.
const allTogether = " "
