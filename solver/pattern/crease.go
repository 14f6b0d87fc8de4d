package pattern

import (
	"fmt"
	"math"
	"strconv"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// angleSteps is the number of steps the range of a fold's angle is taken
// from. Fold angles of the catalogue change smoothly, most of them one way; at
// a turning point between two steps the range is short by a fraction of a
// degree.
const angleSteps = 60

// drives are the states angles are taken from: the openings with everything at
// rest, and wide open the ranges of all that is moved by hand. From one state of
// a run to the next things move a little.
func drives(a *kinematics.Assembly) (runs [][]kinematics.Drive) {
	open := a.Design.OpensTo()
	opening := make([]kinematics.Drive, angleSteps+1)
	for i := range opening {
		opening[i] = kinematics.Drive{Opening: open * geom.Angle(i) / angleSteps}
	}
	runs = append(runs, opening)
	if len(a.Drivers) == 0 {
		return runs
	}
	hand := make([]kinematics.Drive, angleSteps+1)
	for i := range hand {
		at := make([]float64, len(a.Drivers))
		for k := range a.Drivers {
			d := &a.Drivers[k]
			at[k] = d.Min + (d.Max-d.Min)*float64(i)/angleSteps
		}
		hand[i] = kinematics.Drive{Opening: open, Hand: at}
	}
	return append(runs, hand)
}

// foldTurn is how a fold turns between shut and open and over what is moved by
// hand, where it is reached.
type foldTurn struct {
	min, max geom.Angle // dihedral on the working side
	back     bool       // it is folded away from the working side
	both     bool       // it is folded either way in turn
	found    bool
}

const (
	// coincident is the dihedral below which faces lie on one another, in
	// radians: a linkage that is shut is good to 1e-8, and the steps between two
	// states are far wider.
	coincident = 1e-4
	// bothWays is how far a fold must go past flat to be folded the other way:
	// paper takes half a degree without a score for it. From memory.
	bothWays = geom.Angle(0.5 * math.Pi / 180)
)

// foldTurns finds how every fold turns.
func foldTurns(a *kinematics.Assembly) []foldTurn {
	turns := make([]foldTurn, len(a.Folds))
	middle := make([]geom.Angle, len(a.Folds)) // at half the opening
	last := make([]geom.Angle, len(a.Folds))   // wide open
	p := a.NewPose()
	for k, run := range drives(a) {
		angles := make([][]geom.Angle, len(a.Folds))
		for i := range angles {
			angles[i] = make([]geom.Angle, len(run))
		}
		for i, drive := range run {
			a.PoseInto(p, drive)
			for f := range a.Folds {
				angles[f][i] = geom.Angle(math.NaN())
				if p.HasFold(f) {
					angles[f][i] = p.FoldAngle(f)
				}
			}
		}
		for f := range angles {
			unwrap(angles[f])
			turns[f].add(angles[f])
			if k == 0 {
				middle[f], last[f] = angles[f][len(run)/2], angles[f][len(run)-1]
			}
		}
	}
	for f := range turns {
		turns[f].settle(last[f], middle[f])
	}
	return turns
}

// unwrap tells faces that lie on one another after folding all the way round
// from faces that are shut, which have the same dihedral but for a full turn: by
// where the fold goes next, or else where it comes from. Angles not reached are
// NaN.
func unwrap(angles []geom.Angle) {
	closed := func(a geom.Angle) bool { return a < coincident || a > 2*math.Pi-coincident }
	known := geom.Angle(0)
	for i := range angles { // what a run ends with has no next
		if !math.IsNaN(float64(angles[i])) && !closed(angles[i]) {
			known = angles[i]
		}
	}
	for i := len(angles) - 1; i >= 0; i-- {
		switch {
		case math.IsNaN(float64(angles[i])):
		case !closed(angles[i]):
			known = angles[i]
		case known > math.Pi && angles[i] < math.Pi:
			angles[i] = 2 * math.Pi
		case known < math.Pi && angles[i] > math.Pi:
			angles[i] = 0
		}
	}
}

func (t *foldTurn) add(angles []geom.Angle) {
	for _, a := range angles {
		if math.IsNaN(float64(a)) {
			continue
		}
		if !t.found {
			t.min, t.max, t.found = a, a, true
		}
		t.min, t.max = min(t.min, a), max(t.max, a)
	}
}

// settle decides which way the fold is scored: the way it is folded, and of one
// folded either way in turn that of the open spread, or of the half open one
// where it lies flat when open.
func (t *foldTurn) settle(open, half geom.Angle) {
	t.both = t.min < math.Pi-bothWays && t.max > math.Pi+bothWays
	t.back = t.max-math.Pi > math.Pi-t.min
	if !t.both {
		return
	}
	for _, a := range [2]geom.Angle{open, half} {
		if abs(float64(a)-math.Pi) > float64(bothWays) { // not of one that is not reached
			t.back = a > math.Pi
			return
		}
	}
}

// reportBothWays tells of folds that are scored one way and folded both.
func (m *maker) reportBothWays() {
	for i := range m.a.Folds {
		f, t := &m.a.Folds[i], &m.turns[i]
		if !t.both || f.Mechanism == kinematics.Spread {
			continue
		}
		m.report(CodeBothWays, f.Mechanism, m.foldField(f),
			fmt.Sprintf("%s folds from %.0f to %.0f degrees and so past flat: score it from both sides; it is drawn the way it lies when open",
				f.ID, t.min.Degrees(), t.max.Degrees()))
		past := min(math.Pi-t.min, t.max-math.Pi)
		m.Problems[len(m.Problems)-1].Amount = Amount{past.Degrees(), "deg"}
	}
}

// foldField is the field of a mechanism that a fold comes from: of a linkage the
// hinge or glued edge itself.
func (m *maker) foldField(f *kinematics.Fold) string {
	entry := &m.a.Design.Mechanisms[f.Mechanism]
	spec, ok := entry.Spec.(*design.Linkage)
	if !ok {
		return "on"
	}
	for k := range spec.Hinges {
		if f.ID == entry.ID+"."+spec.Hinges[k].ID {
			return "hinges/" + strconv.Itoa(k)
		}
	}
	for k := range spec.Glue {
		if f.ID == entry.ID+"."+spec.Glue[k].ID {
			return "glue/" + strconv.Itoa(k)
		}
	}
	return "on"
}

// addCrease scores the line where a tab joins its panel, but for the reliefs at
// its ends.
func (m *maker) addCrease(part int, b *baseFold, t *tab, relief float64) {
	place := m.place[b.panel.Panel]
	f := b.onPanel()
	m.appendCrease(part, b.index, place.Apply(f.at(geom.Vec2{X: t.from + relief})), place.Apply(f.at(geom.Vec2{X: t.to - relief})), m.bend(b))
}

func (m *maker) appendCrease(part, fold int, from, to geom.Vec2, kind CreaseKind) {
	m.Parts[part].Creases = append(m.Parts[part].Creases, Crease{
		ID: m.a.Folds[fold].ID, Fold: fold, From: from, To: to, Kind: kind,
		AngleMin: m.turns[fold].min, AngleMax: m.turns[fold].max,
	})
}

// addCreases scores the folds between panels of one part: towards the side the
// part shows when that is the side the fold is worked on, as in the gutter, and
// away from it when the fold is worked on from underneath, as in a ridge. A
// fold is scored where both panels have a straight edge, and not where a
// mechanism is cut out of it or a figure passes it.
func (m *maker) addCreases() {
	for i := range m.a.Folds {
		f := &m.a.Folds[i]
		if !m.inSheet[i] && !m.oneSheet(f.Mechanism) {
			continue
		}
		kind := Mountain
		if m.foldsUp(i) {
			kind = Valley
		}
		place := m.place[f.Left.Panel]
		at, along := place.Apply(f.Left.Origin), place.Dir(f.Left.Along)
		from, to := f.Start, f.Length
		if f.Role != kinematics.BaseFold { // a base crease runs across its host
			for _, panel := range f.Panels {
				shape := m.a.Panels[panel].Shape
				outer := outerContour(shape)
				edgeFrom, edgeTo := edgeOn(at, along, f.Length, anticlockwise(shape[outer:outer+1].Transform(m.place[panel])))
				from, to = max(from, edgeFrom), min(to, edgeTo)
			}
		}
		for _, s := range m.slitRidge(i, at, along, m.creaseLeft(i, at, along, from, to)) {
			m.appendCrease(m.partOf[f.Left.Panel], i, at.Add(along.Mul(s[0])), at.Add(along.Mul(s[1])), kind)
		}
	}
}

// foldsUp tells whether a fold goes towards the side its part shows: towards its
// working side, unless it is folded past flat.
func (m *maker) foldsUp(fold int) bool {
	f := &m.a.Folds[fold]
	return (kinematics.WorkingSide(&f.Left, true) == m.visible(f.Left.Panel)) != m.turns[fold].back
}

func abs(v float64) float64 { return math.Abs(v) }
