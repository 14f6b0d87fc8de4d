package check

import (
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
	t.takeMoments()
	var best *finding.Remedy
	for _, k := range knobsFor(x.d, f) {
		if motion.over() || layers.over() {
			break
		}
		changes, outcome := t.cure(k)
		if outcome == cured || outcome == bares && best == nil {
			best, t.held = &finding.Remedy{Text: remedyText(x.d, k, changes), Changes: changes}, outcome
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
	sweepExam = 10
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
	moments        moments
	// held is the outcome that there is a remedy of already.
	held outcome
}

// takeMoments takes up where the pieces the finding is about meet before any change.
func (t *trial) takeMoments() {
	if t.before.swept == nil {
		return
	}
	for i := range t.before.swept.Contacts {
		c := &t.before.swept.Contacts[i]
		if g, ok := t.before.told(c); ok && t.remains(&g) {
			t.moments.add(t.before.Assembly, c)
		}
	}
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
	ways := t.waysOf(k)
	var best []finding.Change
	outcome := failed
	for _, w := range ways {
		changes, o := t.firstCure(decimalSteps, func(places int) []finding.Change { return t.changesBy(&w, places) })
		if o > outcome {
			best, outcome = changes, o
		}
		if outcome == cured {
			break
		}
	}
	return best, outcome
}

// firstCure tries changes rounded more and more finely.
func (t *trial) firstCure(steps []int, changesAt func(places int) []finding.Change) ([]finding.Change, outcome) {
	var tried []finding.Change
	for _, places := range steps {
		changes := changesAt(places)
		if changes == nil || slices.Equal(changes, tried) {
			continue
		}
		tried = changes
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
	moves := scope{motion: everything.coarsely().motion, shut: stack.Options{Stop: t.layers.stop}}
	result := t.judge(kinematics.CompilePart(changed, include), include, moves)
	if result <= t.held {
		return result
	}
	moved := t.moved(changes[0].Pointer)
	if len(include) <= wholeSpread {
		include = slices.Repeat([]bool{true}, len(include))
	}
	if !t.layers.spend(t.before.Assembly, include, layerExam+partsExam) {
		return failed
	}
	a, made := kinematics.CompilePart(changed, include), t.wholly()
	made.parts, made.matter, made.before = true, alsoCut(a, moved), t.before.contacts
	return min(result, t.judge(a, include, made))
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

// judge tells what has come of a change from exams after it, which end once that is
// no better than what there is a remedy of already.
func (t *trial) judge(a *kinematics.Assembly, include []bool, s scope) outcome {
	verdict := cured
	s.enough = func(g *finding.Finding) bool {
		verdict = t.outcomeOf(g)
		return verdict <= t.held
	}
	s.moments = &t.moments
	after := examine(a, include, s)
	switch {
	case after.decided:
		return verdict
	case after.stopped:
		return failed
	}
	result := cured
	for i := range after.findings {
		result = min(result, t.outcomeOf(&after.findings[i]))
	}
	return result
}

// outcomeOf is what has come of a change as far as one finding after it tells.
func (t *trial) outcomeOf(g *finding.Finding) outcome {
	switch {
	case t.remains(g):
		return failed
	case !spoils(g) || t.before.has(g):
		return cured
	case t.before.couldHide(g):
		return bares
	}
	return failed
}

// remains tells whether g is what the finding was, still there.
func (t *trial) remains(g *finding.Finding) bool {
	return g.Mechanism == t.finding.Mechanism && asBadAs(g, t.finding)
}

// left is what is left of the finding in the changed design, looking at no more than
// its mechanism and hosts, and at what its code depends on. Nil is not known by how
// much it is left; gone is that nothing is.
func (t *trial) left(changed *design.Design) (left *finding.Finding, gone bool) {
	include := t.concerned()
	t.addHosts(include)
	s, effort, cost := scopeOf(t.finding.Code).coarsely(), t.motion, 1
	switch {
	case s.layers:
		s, effort, cost = t.wholly(), t.layers, layerExam
		s.sweep = false
	case s.sweep:
		effort, cost = t.layers, sweepExam
		s.enough, s.moments = t.remains, &t.moments
		s.matter = func(mechanism int) bool { return mechanism == t.finding.Mechanism }
	}
	if s.shut.Stop = t.layers.stop; s.parts {
		effort, cost = t.layers, partsExam
	}
	if !effort.spend(t.before.Assembly, include, cost) {
		return nil, false
	}
	after := examine(kinematics.CompilePart(changed, include), include, s)
	if after.stopped || after.decided {
		return nil, false
	}
	k := slices.IndexFunc(after.findings, func(g finding.Finding) bool { return t.remains(&g) })
	if k < 0 {
		return nil, true
	}
	return &after.findings[k], false
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

// touched lists the mechanisms to look at again: those a change moves, and what the
// finding is about with what stands on it, and everyone's hosts.
func (t *trial) touched(pointer string) []bool {
	include := t.concerned()
	for i, moved := range t.moved(pointer) {
		include[i] = include[i] || moved
	}
	t.addStanding(include)
	t.addHosts(include)
	return include
}

// moved lists the mechanisms that move otherwise once the field is changed: the one
// it belongs to, or all, with what stands on it through any number of generations.
func (t *trial) moved(pointer string) []bool {
	moved := make([]bool, len(t.d.Mechanisms))
	for i := range moved {
		moved[i] = strings.HasPrefix(pointer, "/spread/") || strings.HasPrefix(pointer, "/paper/") || strings.HasPrefix(pointer, fmt.Sprintf("/mechanisms/%d/", i))
	}
	t.addStanding(moved)
	return moved
}

// addStanding adds what stands on the mechanisms of a list.
func (t *trial) addStanding(list []bool) {
	for _, i := range t.d.Order() {
		list[i] = list[i] || slices.ContainsFunc(t.d.HostsOf(i), func(host int) bool { return list[host] })
	}
}

// alsoCut tells which mechanisms are moved or have panels that a moved one cuts.
func alsoCut(a *kinematics.Assembly, moved []bool) func(mechanism int) bool {
	cut := map[int]bool{}
	for i := range a.Panels {
		if slices.ContainsFunc(a.Panels[i].OpenedBy, func(by int) bool { return by != kinematics.Spread && moved[by] }) {
			cut[a.Panels[i].Mechanism] = true
		}
	}
	return func(mechanism int) bool {
		return cut[mechanism] || mechanism != kinematics.Spread && moved[mechanism]
	}
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
