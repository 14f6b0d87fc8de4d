package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/stack"
)

// knob is one way of changing a design: numbers that are changed together,
// either each to a value of its own, or all by the same amount, of which the
// least that cures is sought.
type knob struct {
	turns []turn
	exact bool
	// eitherWay is for a move that is as good one way as the other: the shorter
	// way is tried first.
	eitherWay bool
	verb      string
	// choose are fields that are set to one of their words; such a knob turns no
	// numbers.
	choose []finding.Change
}

type turn struct {
	pointer string
	sign    float64 // +1 up, -1 down
	value   float64 // of an exact knob
}

// ways are the knob's turns, and the same turned back where that is as good.
func (k *knob) ways() [][]turn {
	if !k.eitherWay {
		return [][]turn{k.turns}
	}
	back := slices.Clone(k.turns)
	for i := range back {
		back[i].sign = -back[i].sign
	}
	return [][]turn{back, k.turns}
}

// pointerOf is where a finding is: where it says itself, or what is at fault.
func pointerOf(f *finding.Finding) string {
	switch {
	case f.Pointer != "":
		return f.Pointer
	case f.Mechanism == kinematics.Spread:
		return "/spread"
	}
	return fmt.Sprintf("/mechanisms/%d", f.Mechanism)
}

// seekRemedy tries the knobs for the finding in order of preference and keeps
// the first that cures it without any new error. Failing that, it keeps the
// first after which only faults come to light that this one was hiding.
func (x *exam) seekRemedy(f *finding.Finding, motion, layers *effort) {
	f.Pointer = pointerOf(f)
	t := &trial{before: x, d: x.d, finding: f, motion: motion, layers: layers}
	var best *finding.Remedy
	for _, k := range knobsFor(x.d, f) {
		if motion.over() || layers.over() {
			break
		}
		changes, outcome := t.cure(k)
		if outcome == cured || outcome == bares && best == nil {
			best = &finding.Remedy{Text: remedyText(x.d, k, changes), Changes: changes}
		}
		if outcome == cured {
			break
		}
	}
	if f.Remedy = best; best != nil && (f.Mechanism == kinematics.Spread || strings.HasPrefix(best.Changes[0].Pointer, f.Pointer+"/")) {
		f.Pointer = best.Changes[0].Pointer
	}
}

// effort bounds the search for remedies in one design, so that a design with
// hundreds of faults in one another's way is still answered in a second or two.
// It counts mechanisms examined, weighed by the corners of their panels.
type effort struct {
	left int
	stop func() bool
}

const (
	// allEffort is worth a second or two: examining one plain mechanism,
	// compiling included, takes some 15 µs, and fullExam times that for every
	// check.
	allEffort = 25_000
	fullExam  = 6
	// layerExam is the same for the layers of the shut page, with the pattern
	// they are judged by.
	layerExam = 40
	// partsExam is the same for making the parts and judging them.
	partsExam = 20
	// sweepExam is the same for the sweep of what two mechanisms stand on.
	sweepExam = 15
	// plainCorners is how many corners a plain mechanism has.
	plainCorners = 32
)

// spend takes the cost of an exam of the assembly's panels off what is left, a
// number of times.
func (e *effort) spend(a *kinematics.Assembly, include []bool, times int) bool {
	cost := 0
	for i := range a.Panels {
		if m := a.Panels[i].Mechanism; m != kinematics.Spread && include[m] {
			cost += plainCorners/2 + len(a.Panels[i].Outline)
		}
	}
	e.left -= (cost/plainCorners + 1) * times
	return !e.over()
}

func (e *effort) over() bool { return e.left <= 0 || e.stop() }

// trial makes changes to copies of a design and checks them again.
type trial struct {
	before  *exam
	d       *design.Design
	finding *finding.Finding
	// motion and layers are what may still be spent on exams of either.
	motion, layers *effort
}

// outcome is what comes of a change.
type outcome uint8

const (
	failed outcome = iota
	bares          // cures, and bares faults that were hidden
	cured
)

// decimalSteps is the decimals a searched value is rounded to, coarsest first. A
// finer step is used only when the coarser one does not cure.
var decimalSteps = []int{1, 2, 3}

// exactSteps is the same for values that must match another to the last digit.
var exactSteps = []int{1, 2, 3, 4, 6, 9, 12}

func (t *trial) cure(k knob) ([]finding.Change, outcome) {
	if k.choose != nil {
		return k.choose, t.verify(k.choose)
	}
	if k.exact {
		return t.firstCure(exactSteps, func(places int) []finding.Change { return t.changesTo(k, places) })
	}
	var ways []way
	for _, turns := range k.ways() {
		if delta, ok := t.leastDelta(turns); ok {
			ways = append(ways, way{turns, delta})
		}
	}
	slices.SortStableFunc(ways, func(a, b way) int { return cmp.Compare(a.delta, b.delta) })
	var best []finding.Change
	outcome := failed
	for _, w := range ways {
		changes, o := t.firstCure(decimalSteps, func(places int) []finding.Change { return t.changesBy(w, places) })
		if o > outcome {
			best, outcome = changes, o
		}
		if outcome == cured {
			break
		}
	}
	return best, outcome
}

// way is turns with the least amount by which they cure.
type way struct {
	turns []turn
	delta float64
}

// firstCure tries changes rounded more and more finely.
func (t *trial) firstCure(steps []int, changesAt func(places int) []finding.Change) ([]finding.Change, outcome) {
	for _, places := range steps {
		changes := changesAt(places)
		if changes == nil {
			continue
		}
		if outcome := t.verify(changes); outcome != failed {
			return changes, outcome
		}
	}
	return nil, failed
}

// changesTo sets the knob's numbers to their values, rounded; nil when one is
// out of its range.
func (t *trial) changesTo(k knob, places int) []finding.Change {
	scale := math.Pow10(places)
	changes := make([]finding.Change, len(k.turns))
	for i, turn := range k.turns {
		n, _ := t.d.Number(turn.pointer)
		value := math.Round(turn.value*scale) / scale
		if lo, hi := n.Range(t.d); value < lo || value > hi {
			return nil
		}
		changes[i] = finding.Change{Pointer: turn.pointer, Value: value, Unit: n.Unit()}
	}
	return changes
}

// changesBy makes the turns, rounded away from the present values; nil when one
// would leave its range.
func (t *trial) changesBy(w way, places int) []finding.Change {
	scale := math.Pow10(places)
	changes := make([]finding.Change, len(w.turns))
	for i, turn := range w.turns {
		n, _ := t.d.Number(turn.pointer)
		value := turn.sign * math.Ceil(turn.sign*n.Get()*scale+w.delta*scale-1e-6) / scale
		if lo, hi := n.Range(t.d); value < lo || value > hi {
			return nil
		}
		changes[i] = finding.Change{Pointer: turn.pointer, Value: value, Unit: n.Unit()}
	}
	return changes
}

const (
	firstDelta = 0.25  // mm, inches or degrees: the first step tried
	deltaGrain = 0.001 // how finely the least step is found
	// partsGrain is the same for faults of the parts, whose tabs are fitted no
	// finer.
	partsGrain = 0.05
)

// leastDelta seeks the least amount by which the turns cure the finding: it
// doubles a small step until the finding is gone, then halves the interval.
func (t *trial) leastDelta(turns []turn) (float64, bool) {
	limit := math.Inf(1)
	for _, turn := range turns {
		n, ok := t.d.Number(turn.pointer)
		if !ok {
			return 0, false
		}
		lo, hi := n.Range(t.d)
		if turn.sign > 0 {
			limit = math.Min(limit, hi-n.Get())
		} else {
			limit = math.Min(limit, n.Get()-lo)
		}
	}
	gone := func(delta float64) bool {
		changed := t.d.Clone()
		for _, turn := range turns {
			n, _ := changed.Number(turn.pointer)
			n.Set(n.Get() + turn.sign*delta)
		}
		return changed.Consistent() && t.gone(changed)
	}
	lo, hi := 0.0, firstDelta
	for !gone(math.Min(hi, limit)) {
		if hi >= limit {
			return 0, false
		}
		lo, hi = hi, hi*2
	}
	hi = math.Min(hi, limit)
	grain := deltaGrain
	if t.finding.Code.OfParts() {
		grain = partsGrain
	}
	for hi-lo > grain {
		if mid := (lo + hi) / 2; gone(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, true
}

// verify makes the changes and checks everything they touch: the finding must
// be gone and no new error come.
func (t *trial) verify(changes []finding.Change) outcome {
	changed := t.d.Clone()
	for _, c := range changes {
		if !makeChange(changed, c) {
			return failed
		}
	}
	if !changed.Consistent() {
		return failed
	}
	include := t.touched(changes[0].Pointer)
	if !t.motion.spend(t.before.Assembly, include, fullExam) {
		return failed
	}
	result := t.compare(examine(kinematics.CompilePart(changed, include), include, scope{motion: everything.coarsely().motion, shut: stack.Options{Stop: t.layers.stop}}))
	if result == failed {
		return failed
	}
	if len(include) <= wholeSpread {
		include = slices.Repeat([]bool{true}, len(include))
	}
	if !t.layers.spend(t.before.Assembly, include, layerExam+partsExam) {
		return failed
	}
	made := t.wholly()
	made.parts = true
	return min(result, t.compare(examine(kinematics.CompilePart(changed, include), include, made)))
}

// makeChange makes one change in a design.
func makeChange(d *design.Design, c finding.Change) bool {
	if c.Choice != "" {
		word, ok := d.Word(c.Pointer)
		return ok && word.Set(c.Choice)
	}
	n, ok := d.Number(c.Pointer)
	if ok {
		n.Set(c.Value)
	}
	return ok
}

// wholeSpread is the most mechanisms of which all are looked at in the shut page
// after a change; of more only those it touches, unless the finding is about how
// they lie on each other.
const wholeSpread = 24

// wholly is the exams of mechanisms together. The shut page need not be measured
// where nothing depends on it.
func (t *trial) wholly() scope {
	thick := t.finding.Code == finding.StackTooThick || t.finding.Code == finding.ThicknessMatters
	return scope{sweep: true, layers: true, shut: stack.Options{Stop: t.layers.stop, OrderOnly: !thick && t.d.Spread.MaxShutThickness == 0}}
}

// compare tells what has come of a change from an exam after it.
func (t *trial) compare(after *exam) outcome {
	if after.stopped {
		return failed
	}
	result := cured
	for _, g := range after.findings {
		switch {
		case g.Mechanism == t.finding.Mechanism && asBadAs(&g, t.finding):
			return failed
		case !spoils(&g) || t.before.has(&g):
		case t.before.couldHide(&g):
			result = bares
		default:
			return failed
		}
	}
	return result
}

// gone tells whether the finding is gone from the changed design, looking at no
// more than its mechanism and hosts, and at what its code depends on.
func (t *trial) gone(changed *design.Design) bool {
	include := t.concerned()
	t.addHosts(include)
	s, effort, cost := scopeOf(t.finding.Code).coarsely(), t.motion, 1
	switch {
	case s.layers:
		s, effort, cost = t.wholly(), t.layers, layerExam
		s.sweep = false
	case s.sweep:
		effort, cost = t.layers, sweepExam
	}
	if s.shut.Stop = t.layers.stop; s.parts {
		effort, cost = t.layers, partsExam
	}
	if !effort.spend(t.before.Assembly, include, cost) {
		return false
	}
	after := examine(kinematics.CompilePart(changed, include), include, s)
	if after.stopped {
		return false
	}
	return !slices.ContainsFunc(after.findings, func(g finding.Finding) bool {
		return g.Mechanism == t.finding.Mechanism && asBadAs(&g, t.finding)
	})
}

// spoils tells whether a remedy may not bring g: no error, and no mismatch
// however small, where the sides matched to the last digit.
func spoils(g *finding.Finding) bool {
	return g.Severity == finding.Error || g.Code == finding.CannotShut || g.Code == finding.NotFlatWhenShut
}

// asBadAs tells whether g would leave the finding f uncured. A piece brought
// back inside the page should clear the margin too.
func asBadAs(g, f *finding.Finding) bool {
	return g.Code == f.Code || g.Code == finding.InsideMargin && f.Code == finding.OutsidePageWhenShut ||
		g.Code == finding.NotFlatWhenShut && f.Code == finding.CannotShut ||
		g.Code == finding.NearSingular && f.Code == finding.CannotOpenFully
}

// has tells whether the exam found the same fault.
func (x *exam) has(g *finding.Finding) bool {
	return slices.ContainsFunc(x.findings, func(f finding.Finding) bool {
		return f.Code == g.Code && f.Mechanism == g.Mechanism
	})
}

// touched lists the mechanisms to look at again: those that stand, through any
// number of generations, on a changed mechanism, and everyone's hosts.
func (t *trial) touched(pointer string) []bool {
	include := t.concerned()
	for _, i := range t.d.Order() {
		moved := strings.HasPrefix(pointer, "/spread/") || strings.HasPrefix(pointer, "/paper/") || strings.HasPrefix(pointer, fmt.Sprintf("/mechanisms/%d/", i))
		standsOnMoved := slices.ContainsFunc(t.d.HostsOf(i), func(host int) bool { return include[host] })
		include[i] = include[i] || moved || standsOnMoved
	}
	t.addHosts(include)
	return include
}

// concerned is the mechanism of the finding, with those it does not lie on or
// beside as it should: all of them where that can be any.
func (t *trial) concerned() []bool {
	include := make([]bool, len(t.d.Mechanisms))
	with, known := t.before.together[place{t.finding.Code, t.finding.Mechanism}]
	for i := range include {
		include[i] = i == t.finding.Mechanism || besideOthers(t.finding.Code) ||
			(ofLayers(t.finding.Code) || ofSweep(t.finding.Code)) && (!known || slices.Contains(with, i))
	}
	return include
}

// besideOthers tells whether a code is about how mechanisms lie beside each other.
func besideOthers(c finding.Code) bool {
	switch c {
	case finding.CutOffHost, finding.CutInGlue, finding.WebTooThin, finding.TabOffHost, finding.OverCrease,
		finding.NecksMeet, finding.GlueOutOfReach:
		return true
	}
	return false
}

func (t *trial) addHosts(include []bool) {
	for _, i := range slices.Backward(t.d.Order()) {
		if include[i] {
			for _, host := range t.d.HostsOf(i) {
				include[host] = true
			}
		}
	}
}

func remedyText(d *design.Design, k knob, changes []finding.Change) string {
	parts := make([]string, len(changes))
	for i, c := range changes {
		if parts[i] = FieldName(d, c.Pointer); c.Choice != "" {
			parts[i] += " to " + words(c.Choice)
		} else {
			parts[i] += " to " + finding.Amount{Value: c.Value, Unit: c.Unit}.String()
		}
	}
	return fmt.Sprintf("%s %s.", k.verb, strings.Join(parts, " and "))
}

// FieldName is a field as people call it: "right panel angle of quay".
func FieldName(d *design.Design, pointer string) string {
	for _, object := range []string{"/spread/", "/paper/"} {
		if field, ok := strings.CutPrefix(pointer, object); ok {
			return "the " + words(field)
		}
	}
	index, field, _ := design.SplitPointer(pointer)
	return fmt.Sprintf("the %s of %s", words(field), d.Mechanisms[index].ID)
}

// placeWords are the fields whose names are no nouns.
var placeWords = map[string]string{"from": "start", "to": "end", "at": "place", "opens_to": "full opening"}

func words(field string) string {
	names := strings.Split(field, "/")
	for i, name := range names {
		if word, ok := placeWords[name]; ok {
			names[i] = word
		}
	}
	return strings.ReplaceAll(strings.Join(names, " "), "_", " ")
}
