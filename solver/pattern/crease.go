package pattern

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// angleSteps is the number of steps the range of a fold's angle is taken
// from. Fold angles of the catalogue change smoothly, most of them one way; at
// a turning point between two steps the range is short by a fraction of a
// degree.
const angleSteps = 60

// drives are the states angles are taken from: the openings with everything at
// rest, and wide open the ranges of all that is moved by hand.
func drives(a *kinematics.Assembly) []kinematics.Drive {
	open := a.Design.OpensTo()
	var list []kinematics.Drive
	for i := 0; i <= angleSteps; i++ {
		list = append(list, kinematics.Drive{Opening: open * geom.Angle(i) / angleSteps})
	}
	for i := 0; i <= angleSteps && len(a.Drivers) > 0; i++ {
		hand := make([]float64, len(a.Drivers))
		for k := range a.Drivers {
			d := &a.Drivers[k]
			hand[k] = d.Min + (d.Max-d.Min)*float64(i)/angleSteps
		}
		list = append(list, kinematics.Drive{Opening: open, Hand: hand})
	}
	return list
}

// foldRanges is the least and greatest dihedral of every fold between shut and
// open and over what is moved by hand, where it is reached.
func foldRanges(a *kinematics.Assembly) [][2]geom.Angle {
	ranges := make([][2]geom.Angle, len(a.Folds))
	found := make([]bool, len(a.Folds))
	p := a.NewPose()
	for _, drive := range drives(a) {
		a.PoseInto(p, drive)
		for f := range a.Folds {
			if !p.HasFold(f) {
				continue
			}
			angle := p.FoldAngle(f)
			if !found[f] {
				ranges[f], found[f] = [2]geom.Angle{angle, angle}, true
			}
			ranges[f] = [2]geom.Angle{min(ranges[f][0], angle), max(ranges[f][1], angle)}
		}
	}
	return ranges
}

// addCrease scores the line where a tab joins its panel.
func (m *maker) addCrease(part int, b *baseFold, t *tab) {
	place := m.place[b.panel.Panel]
	f := b.onPanel()
	m.appendCrease(part, b.index, place.Apply(f.at(geom.Vec2{X: t.from})), place.Apply(f.at(geom.Vec2{X: t.to})), m.bend(b))
}

func (m *maker) appendCrease(part, fold int, from, to geom.Vec2, kind CreaseKind) {
	m.Parts[part].Creases = append(m.Parts[part].Creases, Crease{
		ID: m.a.Folds[fold].ID, Fold: fold, From: from, To: to, Kind: kind,
		AngleMin: m.angles[fold][0], AngleMax: m.angles[fold][1],
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
		if m.foldsUp(f) {
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

// foldsUp tells whether a fold goes towards the side its part shows. A ridge never
// does where that is the printed side, which is outside the mechanism.
func (m *maker) foldsUp(f *kinematics.Fold) bool {
	shown := m.visible(f.Left.Panel)
	if f.Role == kinematics.RidgeFold && shown == m.a.Panels[f.Left.Panel].Printed {
		return false
	}
	return workingSide(&f.Left, true) == shown
}

func abs(v float64) float64 { return math.Abs(v) }
