package fit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// problem is a task made ready.
type problem struct {
	task    *Task
	start   *design.Design
	numbers []number
	space   *space
	work    *design.Design // whose numbers are set to look at a point

	include []bool // mechanisms to compile; nil: all
	moves   []bool // mechanisms that change with the numbers
	goals   []goal
	// reached tells, by opening looked at and mechanism, what the start reaches.
	reached [][]bool
	reserve []float64         // by mechanism, how far it must be from stretched tight
	insets  []measure.Measure // by panel

	pull float64
	// band makes goals conditions: within their tolerance they count as met in
	// full.
	band bool
	stop func() bool

	steps int
}

// goal is a goal in mm and radians.
type goal struct {
	reading measure.Reading
	sense   Sense
	target  float64
	tol     float64
	root    float64 // of the weight
	number  int     // in the task
}

// pullOfGoals is ρ: a change by one scale, 10 mm or 10 degrees, costs as much as
// missing a goal by a hundredth of its tolerance. Goals then miss by some
// ten-thousandths of it on account of the pull.
const pullOfGoals = 0.01

// pullOfMeasurements only decides what the measurements leave open; what it
// adds to the fit is a hundred-millionth of that.
const pullOfMeasurements = 1e-4

// prepare makes a task ready, or names everything wrong with it.
func prepare(task *Task, stop func() bool) (*problem, error) {
	p := &problem{task: task, start: task.Design, work: task.Design.Clone(), stop: stop, pull: pullOfGoals}
	if task.Mockup {
		p.pull = pullOfMeasurements
	}
	f := &faults{}
	p.takeNumbers(f)
	p.findMoves()
	whole := kinematics.Compile(p.start)
	p.findIncluded(whole)
	part := whole
	if p.include != nil {
		part = kinematics.CompilePart(p.start, p.include)
	}
	p.takeGoals(whole, part, f)
	if task.Starts < 0 || task.Starts > MaxStarts {
		f.add("starts", Outside, "must be from 1 to %d", MaxStarts)
	}
	if len(f.list) > 0 {
		return nil, &Refused{f.list}
	}
	p.space = newSpace(len(p.numbers), p.equations(), p.followRank)
	p.lookAtStart(part)
	return p, nil
}

type faults struct{ list []Fault }

func (f *faults) add(field string, reason Reason, detail string, args ...any) {
	f.list = append(f.list, Fault{field, reason, fmt.Sprintf(detail, args...)})
}

func (p *problem) takeNumbers(f *faults) {
	switch n := len(p.task.Vary); {
	case n == 0:
		f.add("vary", Clashes, "name at least one number that may change")
	case n > MaxVary:
		f.add("vary", TooMany, "at most %d numbers may vary", MaxVary)
		return
	}
	for i := range p.task.Vary {
		v := &p.task.Vary[i]
		field := fmt.Sprintf("vary/%d", i)
		n, ok := p.takeNumber(v.Pointer, field+"/pointer", f)
		if !ok {
			continue
		}
		p.narrow(n, v, field, f)
		step := n.step
		angle := n.Angle
		if len(v.Tied) > MaxTied {
			f.add(field+"/tied", TooMany, "at most %d numbers may follow one", MaxTied)
			continue
		}
		for k, pointer := range v.Tied {
			at := fmt.Sprintf("%s/tied/%d", field, k)
			tied, ok := p.takeNumber(pointer, at, f)
			if !ok {
				continue
			}
			if tied.Angle != angle {
				f.add(at, Clashes, "a length and an angle cannot change by the same amount")
			}
			tied.tied, tied.step = true, step
		}
	}
}

// takeNumber takes in a number; the pointer given back is good until the next.
func (p *problem) takeNumber(pointer, field string, f *faults) (*number, bool) {
	n, ok := p.start.Number(pointer)
	switch {
	case !ok:
		f.add(field, Unknown, "no number of the design has this pointer; %s", p.nearNumbers(pointer))
		return nil, false
	case p.index(pointer) >= 0:
		f.add(field, Clashes, "%s is named before; a number varies once", pointer)
		return nil, false
	}
	p.numbers = append(p.numbers, newNumber(p.start, n))
	p.numbers[len(p.numbers)-1].work, _ = p.work.Number(pointer)
	return &p.numbers[len(p.numbers)-1], true
}

// nearNumbers lists the numbers of the mechanism a pointer leads to, or what it
// may lead to.
func (p *problem) nearNumbers(pointer string) string {
	index, _, ok := design.SplitPointer(pointer + "/")
	if !ok || index >= len(p.start.Mechanisms) {
		return fmt.Sprintf("pointers start with /spread or /mechanisms/<n>, n from 0 to %d", len(p.start.Mechanisms)-1)
	}
	var names []string
	for _, n := range p.start.Numbers(index) {
		names = append(names, n.Pointer)
	}
	if len(names) == 0 {
		return "this mechanism has none"
	}
	return "there are " + strings.Join(names, ", ")
}

func (p *problem) narrow(n *number, v *Vary, field string, f *faults) {
	if !finiteOrNil(v.Min) || !finiteOrNil(v.Max) || !finite(v.Step) || v.Step < 0 {
		f.add(field, Outside, "bounds and step must be finite, the step not negative")
		return
	}
	n.step = v.Step * n.per
	if v.Min != nil {
		n.given, n.lo = true, max(n.lo, *v.Min*n.per)
	}
	if v.Max != nil {
		n.given, n.hi = true, min(n.hi, *v.Max*n.per)
	}
	lo, hi := n.Range(p.start)
	switch {
	case v.Min != nil && v.Max != nil && *v.Min > *v.Max:
		f.add(field, Clashes, "min is above max; swap them")
	case n.lo > n.hi:
		f.add(field, Outside, "nothing lies within both the bounds and what the document allows, %g to %g %s", lo, hi, n.Unit())
	case n.step > 0 && math.Floor(n.hi/n.step+1e-9)*n.step < n.lo-1e-9*n.step:
		f.add(field+"/step", Clashes, "no multiple of the step lies within the bounds")
	}
}

// findMoves finds what changes with the numbers: their mechanisms, and what
// stands on those.
func (p *problem) findMoves() {
	p.moves = make([]bool, len(p.start.Mechanisms))
	spread := false
	for i := range p.numbers {
		if m, _, ok := design.SplitPointer(p.numbers[i].Pointer); ok {
			p.moves[m] = true
		} else {
			spread = true
		}
	}
	for _, i := range p.start.Order() {
		onMoved := slices.ContainsFunc(p.start.HostsOf(i), func(host int) bool { return p.moves[host] })
		p.moves[i] = p.moves[i] || onMoved || spread
	}
}

// findIncluded finds what must be compiled: what moves, what goals measure, and
// what those stand on.
func (p *problem) findIncluded(whole *kinematics.Assembly) {
	include := slices.Clone(p.moves)
	for i := range p.task.Goals {
		m, ok := measure.Find(whole, p.task.Goals[i].Measure)
		if !ok {
			continue
		}
		list, all := m.Mechanisms(whole)
		if all {
			return
		}
		for _, k := range list {
			include[k] = true
		}
	}
	for _, i := range slices.Backward(p.start.Order()) {
		if include[i] {
			for _, host := range p.start.HostsOf(i) {
				include[host] = true
			}
		}
	}
	p.include = include
}

func (p *problem) takeGoals(whole, part *kinematics.Assembly, f *faults) {
	field := "goals"
	if p.task.Mockup {
		field = "measurements"
	}
	switch n := len(p.task.Goals); {
	case n == 0:
		f.add(field, Clashes, "name at least one")
	case n > MaxGoals:
		f.add(field, TooMany, "at most %d", MaxGoals)
		return
	}
	for i := range p.task.Goals {
		g := &p.task.Goals[i]
		at := fmt.Sprintf("%s/%d", field, i)
		if _, ok := measure.Find(whole, g.Measure); !ok {
			f.add(at+"/measure", Unknown, "%q is no measure of the design; %s", g.Measure, nearMeasures(whole, g.Measure))
			continue
		}
		m, _ := measure.Find(part, g.Measure)
		drive := kinematics.Drive{Opening: p.openingOf(g, &m)}
		switch t := drive.Opening; {
		case m.Kind == measure.Inset && t != 0:
			f.add(at+"/opening", Clashes, "the edge of the page is kept from with the book shut; leave the opening out or give 0")
		case !finite(float64(t)) || t < 0 || t > p.start.OpensTo()+openingRounding:
			f.add(at+"/opening", Outside, "must be from 0 to %g degrees, as far as the spread opens", roundedDegrees(p.start.OpensTo()))
		}
		drive.Hand = p.takeHand(whole, part, g, at, f)
		tolerance, weight := toleranceOf(g, &m), g.Weight
		if weight == 0 {
			weight = 1
		}
		if !finite(g.Target) || !finite(tolerance) || tolerance <= 0 || !finite(weight) || weight <= 0 {
			f.add(at, Outside, "target, tolerance and weight must be finite, the latter two above 0")
			continue
		}
		p.goals = append(p.goals, goal{
			reading: measure.Reading{Measure: m, Drive: drive}, sense: g.Sense,
			target: g.Target * m.Scale, tol: tolerance, root: math.Sqrt(weight), number: i,
		})
	}
}

// openingOf is the opening a goal is meant at.
func (p *problem) openingOf(g *Goal, m *measure.Measure) geom.Angle {
	switch {
	case g.Opening != nil:
		return *g.Opening
	case m.Kind == measure.Inset:
		return 0
	}
	return p.start.OpensTo()
}

// toleranceOf is the tolerance of a goal in mm or radians.
func toleranceOf(g *Goal, m *measure.Measure) float64 {
	switch {
	case g.Tolerance != 0:
		return g.Tolerance * m.Scale
	case m.Angle():
		return DefaultTolerance * m.Scale
	}
	return DefaultTolerance
}

// openingRounding lets an opening through that is the greatest but for rounding.
const openingRounding = 1e-9

func roundedDegrees(a geom.Angle) float64 { return math.Round(a.Degrees()*decimals) / decimals }

func (p *problem) takeHand(whole, part *kinematics.Assembly, g *Goal, at string, f *faults) []float64 {
	if len(g.Hand) == 0 {
		return nil
	}
	hand := part.Rest()
	for _, s := range g.Hand {
		k := whole.DriverIndex(s.Driver)
		if k < 0 {
			f.add(at+"/drivers/"+s.Driver, Unknown, "no such driver")
			continue
		}
		if d := &whole.Drivers[k]; !(s.Value >= d.Min && s.Value <= d.Max) {
			f.add(at+"/drivers/"+s.Driver, Outside, "is beyond how far it goes")
		}
		if k = part.DriverIndex(s.Driver); k >= 0 {
			hand[k] = s.Value
		}
	}
	return hand
}

// nearMeasures names what a mistaken name may have been.
func nearMeasures(a *kinematics.Assembly, id string) string {
	kind, of, _ := strings.Cut(id, ".")
	owner, _, _ := strings.Cut(of, ".")
	var names []string
	for _, m := range measure.List(a) {
		if strings.HasPrefix(m.ID, kind+"."+owner+".") {
			names = append(names, m.ID)
		}
	}
	if len(names) == 0 {
		var ids []string
		for i := range a.Design.Mechanisms {
			ids = append(ids, a.Design.Mechanisms[i].ID)
		}
		return "a name is a kind of measure, a dot and what is measured; the mechanisms are " + strings.Join(ids, ", ")
	}
	return "there are " + strings.Join(names, ", ")
}

func finite(v float64) bool { return v-v == 0 }

func finiteOrNil(v *float64) bool { return v == nil || finite(*v) }
