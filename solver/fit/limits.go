package fit

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// row is a condition that is an inequality, at one point: it holds while value is
// not negative, in mm or, of angles, in degrees.
type row struct {
	limit Limit
	value float64
	slope []float64 // by free number, per mm or radian
}

// leastExtent is the least extent of a piece along its fold, as the document has
// it, in mm.
const leastExtent = 0.1

// boundRows are the bounds of the numbers, and extents.
func (p *problem) boundRows(rows []row, at []float64) []row {
	for i := range p.numbers {
		n := &p.numbers[i]
		unit := 1.0
		if n.Angle {
			unit = float64(geom.Degrees(1))
		}
		slope := p.space.spread[i]
		rows = append(rows,
			row{Limit{Kind: AtBound, Of: n.Pointer, Value: n.shown(n.lo), Unit: n.Unit()}, (at[i] - n.lo) / unit, scaled(slope, 1/unit)},
			row{Limit{Kind: AtBound, Of: n.Pointer, Value: n.shown(n.hi), Unit: n.Unit()}, (n.hi - at[i]) / unit, scaled(slope, -1/unit)})
	}
	for m := range p.start.Mechanisms {
		from, okFrom := p.work.Number(design.Point(m, "from"))
		to, okTo := p.work.Number(design.Point(m, "to"))
		if !p.moves[m] || !okFrom || !okTo {
			continue
		}
		per := p.start.Units.PerUnit()
		r := row{Limit{Kind: AtExtent, Of: design.Point(m, "to"), Value: leastExtent / per, Unit: to.Unit()}, (to.Get()-from.Get())*per - leastExtent, make([]float64, len(p.space.free))}
		for k := range r.slope {
			if i := p.index(to.Pointer); i >= 0 {
				r.slope[k] += p.space.spread[i][k]
			}
			if i := p.index(from.Pointer); i >= 0 {
				r.slope[k] -= p.space.spread[i][k]
			}
		}
		rows = append(rows, r)
	}
	return rows
}

func scaled(v []float64, by float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = v[i] * by
	}
	return out
}

// nearlyShut is the opening, in radians, at which slopes of what is measured shut
// are taken. Shut, a pose has none with sides that change unlike each other, even
// if they go on matching; a fifth of a degree on, it has, and they are those of
// the shut pose but for the square of this, some millionths.
const nearlyShut = 0.2 * math.Pi / 180

// cornersPerEdge is how many corners of a panel are watched at each edge of the
// page: one that overtakes the nearest is then known already.
const cornersPerEdge = 2

// insetRows are the corners of what moves that come nearest to the edges of the
// shut page. Without slopes (aim nil) only the values are filled in.
func (p *problem) insetRows(rows []row, l *look, aim measure.Aim) []row {
	if !p.task.Keep.Inside {
		return rows
	}
	per := p.start.Units.PerUnit()
	inset := p.task.Keep.Inset * per
	l.poseAt(0)
	first := len(rows)
	var taken []measure.Taken
	for i := range l.a.Panels {
		m := l.a.Panels[i].Mechanism
		if m == kinematics.Spread || !p.moves[m] || !l.pose.Has(i) {
			continue
		}
		before := len(taken)
		taken = l.gauge.CornerInsets(taken, &p.insets[i], l.pose, cornersPerEdge)
		for k := before; k < len(taken); k++ {
			rows = append(rows, row{
				Limit{Kind: AtInset, Of: l.a.Panels[i].ID, Value: p.task.Keep.Inset, Unit: string(p.start.Units)},
				taken[k].Value - inset, make([]float64, len(p.space.free)),
			})
		}
	}
	l.poseAt(nearlyShut)
	l.slopes(aim, func(k int, times float64) {
		for i := range taken {
			rows[first+i].slope[k] += times * orNone(l.gauge.Rate(&taken[i], l.pose, l.rate))
		}
	})
	return rows
}

// orNone takes the place of a rate that does not exist.
func orNone(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// openRows tell how far each V and parallel fold that moves is from being
// stretched tight with the book open. On a host fold of dihedral ψ, base lines at
// angles a and b to it are θ apart, cos θ = cos a·cos b + sin a·sin b·cos ψ, which
// the panel angles must span, the short way or the long way round; base lines at distances a and b are d apart, d² = a²
// + b² - 2ab·cos ψ, which the panel widths must.
func (p *problem) openRows(rows []row, l *look, aim measure.Aim, directions []measure.Direction) []row {
	if !p.task.Keep.OpensFully {
		return rows
	}
	l.poseAt(float64(p.start.OpensTo()))
	var spans []span
	first := len(rows)
	for i := range p.start.Mechanisms {
		if s, ok := p.spanOf(l, i); ok {
			spans = append(spans, s)
			value, _ := s.slack(nil, 0)
			rows = append(rows, row{
				Limit{Kind: AtFullOpen, Of: mechanismPointer(i), Value: p.reserve[i], Unit: s.unit(p.start)},
				value/s.scale() - p.reserve[i], make([]float64, len(p.space.free)),
			})
		}
	}
	if len(spans) == 0 {
		return rows
	}
	// The own numbers change directly, the dihedral by what lies below.
	for k := range directions {
		for i := range spans {
			s := &spans[i]
			if rates, ok := p.work.RatesOf(s.mechanism, fieldsOf(directions[k], s.mechanism)); ok {
				_, rate := s.slack(rates, 0)
				rows[first+i].slope[k] += rate / s.scale()
			}
		}
	}
	l.slopes(aim, func(k int, times float64) {
		for i := range spans {
			s := &spans[i]
			if m := l.a.Folds[s.fold].Mechanism; m != kinematics.Spread && l.rate.Exists[m] {
				_, rate := s.slack(nil, orNone(l.rate.FoldAngle(s.fold)))
				rows[first+i].slope[k] += times * rate / s.scale()
			}
		}
	})
	return rows
}

func mechanismPointer(i int) string {
	point := design.Point(i, "")
	return point[:len(point)-1]
}

// fieldsOf is the part of a direction that changes one mechanism.
func fieldsOf(d measure.Direction, mechanism int) map[string]float64 {
	fields := map[string]float64{}
	for pointer, rate := range d {
		if m, field, ok := design.SplitPointer(pointer); ok && m == mechanism {
			fields[field] = rate
		}
	}
	return fields
}

// span is what the panels of a mechanism have to span, and with what.
type span struct {
	mechanism, fold int
	angular         bool
	a, b            float64 // base lines: angles from the fold, or distances
	panels          float64
	psi             float64
	sign            float64 // of the dihedral's change
}

func (p *problem) spanOf(l *look, i int) (span, bool) {
	m := &p.work.Mechanisms[i]
	fold := l.a.FoldIndex(m.On.Fold)
	if !p.moves[i] || fold < 0 || !l.pose.HasFold(fold) {
		return span{}, false
	}
	s := span{mechanism: i, fold: fold, psi: float64(l.pose.FoldAngle(fold)), sign: 1}
	host := l.a.Folds[fold].Mechanism
	if host != kinematics.Spread && m.On.Side != "" && m.On.Side != p.workingSide(host, m.On.Fold) {
		s.sign = -1
		if l.a.Folds[fold].Role == kinematics.BaseFold {
			s.psi = math.Pi - s.psi
		} else {
			s.psi = 2*math.Pi - s.psi
		}
	}
	switch spec := m.Spec.(type) {
	case *design.VFold:
		left, right := spec.Sides()
		s.angular = true
		s.a, s.b, s.panels = float64(left.BaseAngle), float64(right.BaseAngle), float64(left.PanelAngle+right.PanelAngle)
	case *design.ParallelFold:
		left, right := spec.Sides()
		s.a, s.b, s.panels = left.BaseOffset, right.BaseOffset, left.PanelWidth+right.PanelWidth
	default:
		return span{}, false
	}
	return s, true
}

func (p *problem) workingSide(mechanism int, fold string) design.Side {
	m := &p.work.Mechanisms[mechanism]
	return m.WorkingSide(fold[len(m.ID)+1:])
}

func (s *span) scale() float64 {
	if s.angular {
		return float64(geom.Degrees(1))
	}
	return 1
}

func (s *span) unit(d *design.Design) string {
	if s.angular {
		return "deg"
	}
	return string(d.Units)
}

// slack is how much more the panels could span, and how that changes as the
// mechanism's own numbers do at the given rates and the dihedral at its own.
func (s *span) slack(rates design.Spec, turning float64) (value, rate float64) {
	var da, db, dPanels float64
	switch spec := rates.(type) {
	case *design.VFold:
		left, right := spec.Sides()
		da, db, dPanels = float64(left.BaseAngle), float64(right.BaseAngle), float64(left.PanelAngle+right.PanelAngle)
	case *design.ParallelFold:
		left, right := spec.Sides()
		da, db, dPanels = left.BaseOffset, right.BaseOffset, left.PanelWidth+right.PanelWidth
	}
	sin, cos := math.Sincos(s.psi)
	dPsi := s.sign * turning
	if !s.angular {
		d := math.Sqrt(max(0, s.a*s.a+s.b*s.b-2*s.a*s.b*cos))
		change := 0.0
		if d > 0 {
			change = (s.a*da + s.b*db - cos*(s.a*db+s.b*da) + s.a*s.b*sin*dPsi) / d
		}
		return s.panels - d, dPanels - change
	}
	sinA, cosA := math.Sincos(s.a)
	sinB, cosB := math.Sincos(s.b)
	// From the half angles, exact where the base lines lie in one line:
	// 1 ± cos θ = 2cos² or 2sin² of half of it.
	half := math.Cos((s.a-s.b)/2)*math.Cos((s.a-s.b)/2) - sinA*sinB*(1-cos)/2
	theta := 2 * math.Acos(math.Sqrt(min(1, max(0, half))))
	change := 0.0
	if sinTheta := math.Sin(theta); sinTheta > 1e-9 {
		change = ((sinA*cosB-cosA*sinB*cos)*da + (cosA*sinB-sinA*cosB*cos)*db + sinA*sinB*sin*dPsi) / sinTheta
	}
	if s.panels > math.Pi { // the other way round is the shorter
		return 2*math.Pi - s.panels - theta, -dPanels - change
	}
	return s.panels - theta, dPanels - change
}
