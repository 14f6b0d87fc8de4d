package check

import (
	"fmt"
	"math"
	"slices"

	"foldwright/solver/collide"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// grazing is the fraction of the model below which a depth is that of pieces
	// that only touch: what the decimals of a document leave.
	grazing = 1e-6
	// paperYields is how deep, in mm, a piece may run into another and be bent
	// aside without harm: the repeatability of a cutter (common practice).
	paperYields = 0.1
	// justShut is the opening below which a mismatch shows that paper takes up:
	// one of 0.1 mm is some hundredths of a page.
	justShut = math.Pi / 180
)

// ofSweep tells whether a code is found by sweeping the motion for pieces that
// run into each other, and so about several mechanisms together.
func ofSweep(c finding.Code) bool {
	return c == finding.PanelsCollide || c == finding.ClearanceUndecided
}

// judgeCollisions sweeps the motion for pieces that pass through each other.
func (x *exam) judgeCollisions(s scope) {
	bodies := collide.Compile(x.Assembly, s.shut.Stop)
	if s.matter != nil {
		bodies.Only(s.matter)
		for pair := range s.before {
			x.contacts[pair] = !s.matter(pair[0]) && !s.matter(pair[1])
		}
	}
	o := collide.Options{Stop: s.shut.Stop}
	if s.enough != nil {
		enough := func(c *collide.Contact) bool {
			g, ok := x.told(c)
			return ok && x.decides(&g, s)
		}
		if s.moments.look(x.Assembly, bodies, enough) {
			return
		}
		o.Enough = func(c *collide.Contact) bool {
			if !enough(c) {
				return false
			}
			s.moments.add(x.Assembly, c)
			return true
		}
		o.Doubt = func(u *collide.Undecided) bool {
			g, ok := x.unproved(u)
			return ok && !s.layers && x.decides(&g, s) // the layers may tell of it as glued twice
		}
	}
	swept := bodies.Sweep(o)
	x.swept, x.stopped = &swept, swept.Stopped && !x.decided
	for i := range swept.Contacts {
		c := &swept.Contacts[i]
		if c.Depth > grazing*x.d.Size() {
			x.contacts[x.mechanismsOf(c.Pieces)] = true
		}
		if g, ok := x.told(c); ok {
			x.describe(&g, c)
			mechanisms := x.mechanismsOf(c.Pieces)
			x.merge(g, mechanisms[:])
		}
	}
}

// told is the finding of a contact, without words; ok is false where pieces only
// graze, or meet because one of them does not move as drawn.
func (x *exam) told(c *collide.Contact) (g finding.Finding, ok bool) {
	mechanisms := x.mechanismsOf(c.Pieces)
	if c.Depth <= grazing*x.d.Size() || x.comesOfUnevenness(c, mechanisms) || x.areDisturbed(mechanisms) {
		return g, false
	}
	g = finding.Finding{Code: finding.PanelsCollide, Severity: finding.Error, Mechanism: x.latest(mechanisms[:])}
	if c.Depth <= paperYields {
		g.Severity = finding.Note
	}
	return g, true
}

// comesOfUnevenness tells whether a contact is that of sides which do not match to
// the last digit, and so are a hair through the page just before it is shut.
func (x *exam) comesOfUnevenness(c *collide.Contact, mechanisms [2]int) bool {
	if c.Fold != collide.None {
		return x.uneven[x.Folds[c.Fold].Mechanism]
	}
	return c.Driver == collide.None && c.From < justShut && c.To < justShut &&
		(mechanisms[0] != kinematics.Spread && x.uneven[mechanisms[0]] || mechanisms[1] != kinematics.Spread && x.uneven[mechanisms[1]])
}

// addUndecided adds the pairs of which nothing is proved. What is glued to one
// place lies on each other, and is said to.
func (x *exam) addUndecided() {
	for i := range x.swept.Undecided {
		u := &x.swept.Undecided[i]
		g, ok := x.unproved(u)
		mechanisms := x.mechanismsOf(u.Pieces)
		with, twice := x.together[place{finding.GluedTwice, g.Mechanism}]
		if ok && (!twice || !within(mechanisms[:], with)) {
			x.describeUndecided(&g, u)
			x.merge(g, mechanisms[:])
		}
	}
}

// unproved is the finding of an interval that is not decided, without words; ok is
// false where one of the pieces does not move as drawn.
func (x *exam) unproved(u *collide.Undecided) (g finding.Finding, ok bool) {
	mechanisms := x.mechanismsOf(u.Pieces)
	g = finding.Finding{Code: finding.ClearanceUndecided, Severity: finding.Warning, Mechanism: x.latest(mechanisms[:])}
	return g, !x.areDisturbed(mechanisms)
}

// areDisturbed tells whether one of two mechanisms does not move as drawn.
func (x *exam) areDisturbed(mechanisms [2]int) bool {
	return slices.ContainsFunc(mechanisms[:], func(m int) bool { return m != kinematics.Spread && x.disturbed[m] })
}

// describe puts the finding of a contact into words.
func (x *exam) describe(g *finding.Finding, c *collide.Contact) {
	g.Amount = finding.Length(x.d, c.Depth)
	g.Where = finding.Where{Panels: x.namesOf(c.Pieces), Point: c.Point, HasPoint: true}
	when := x.during(g, c.Driver, c.Opening, c.From, c.To)
	verb := "pass through each other"
	if c.Fold != collide.None {
		verb = "turn through each other about " + x.Folds[c.Fold].ID
	}
	g.Message = fmt.Sprintf("%s and %s %s %s, by up to %s.", x.nameOf(c.Pieces[0]), x.nameOf(c.Pieces[1]), verb, when, g.Amount)
}

func (x *exam) describeUndecided(g *finding.Finding, u *collide.Undecided) {
	g.Amount = finding.Length(x.d, 0)
	g.Where = finding.Where{Panels: x.namesOf(u.Pieces)}
	when := x.during(g, u.Driver, u.Opening, u.From, u.To)
	g.Message = fmt.Sprintf("%s and %s come so close %s that it is not proved that they clear each other.",
		x.nameOf(u.Pieces[0]), x.nameOf(u.Pieces[1]), when)
}

// during sets the interval of a finding, and says it in words.
func (x *exam) during(g *finding.Finding, driver int, opening geom.Angle, from, to float64) string {
	if driver == collide.None {
		g.At = finding.Interval{From: geom.Angle(from), To: geom.Angle(to)}
		return between(finding.Angle(g.At.From), finding.Angle(g.At.To))
	}
	g.At = finding.Interval{From: opening, To: opening}
	d := &x.Drivers[driver]
	g.Hand = &finding.Hand{Driver: driver, ID: d.ID, Quantity: d.Quantity, From: from, To: to}
	amount := func(v float64) finding.Amount {
		if d.Quantity == design.Degrees {
			return finding.Angle(geom.Angle(v))
		}
		return finding.Length(x.d, v)
	}
	return fmt.Sprintf("with %s %s", d.ID, between(amount(from), amount(to)))
}

// between leaves out what is less than people read.
func between(from, to finding.Amount) string {
	from.Value, to.Value = math.Round(from.Value*1e3)/1e3, math.Round(to.Value*1e3)/1e3
	if from.String() == to.String() {
		return "at " + from.String()
	}
	return fmt.Sprintf("between %s and %s", from, to)
}

func (x *exam) nameOf(p collide.Piece) string {
	if p.Strip != collide.None {
		return x.Strips[p.Strip].ID
	}
	return x.Panels[p.Panel].ID
}

func (x *exam) namesOf(p [2]collide.Piece) []string {
	return []string{x.nameOf(p[0]), x.nameOf(p[1])}
}

// mechanismsOf are the mechanisms of two pieces, the earlier in the design first.
func (x *exam) mechanismsOf(pieces [2]collide.Piece) [2]int {
	var out [2]int
	for k, p := range pieces {
		if p.Strip != collide.None {
			out[k] = x.Strips[p.Strip].Mechanism
		} else {
			out[k] = x.Panels[p.Panel].Mechanism
		}
	}
	return [2]int{min(out[0], out[1]), max(out[0], out[1])}
}

// findDisturbed finds which mechanisms do not move as drawn, by a fault of their
// own or of what they stand on: what they run into is no fault of its own. It
// finds too whose sides do not match to the last digit.
func (x *exam) findDisturbed() {
	n := len(x.d.Mechanisms)
	x.disturbed, x.uneven = make([]bool, n), make([]bool, n)
	for i := range x.findings {
		f := &x.findings[i]
		switch f.Code {
		case finding.CannotShut, finding.NotFlatWhenShut:
			x.uneven[f.Mechanism] = true
		case finding.CannotOpenFully, finding.ThroughHost, finding.CutOffHost, finding.EndsMeet, finding.StripCollides:
		default:
			continue
		}
		x.disturbed[f.Mechanism] = x.disturbed[f.Mechanism] || f.Severity == finding.Error
	}
	for _, i := range x.d.Order() {
		for _, host := range x.d.HostsOf(i) {
			x.disturbed[i] = x.disturbed[i] || x.disturbed[host]
		}
	}
}
