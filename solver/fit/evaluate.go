package fit

import (
	"math"
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// point is what was found at one setting of the free numbers.
type point struct {
	y, at  []float64 // free numbers, all numbers; mm and radians
	values []float64 // of the goals

	misfit  float64   // sum of the squares of the goals' distances
	cost    float64   // with the pull, halved
	over    float64   // sum of what conditions lack
	rest    []float64 // distances of the goals
	slopes  [][]float64
	rows    []row
	sloping bool // slopes and those of the rows are filled in
}

// feasible is how much a condition may lack, in mm or degrees, and still hold:
// far below what the checks see, above the rounding of poses.
const feasible = 1e-7

func (q *point) keeps() bool { return q.over <= feasible }

// evaluate looks at a point; nil where the document would not be valid, or what
// is reached now would be lost.
func (p *problem) evaluate(y []float64, sloping bool) *point {
	q := &point{y: append([]float64{}, y...), at: make([]float64, len(p.numbers)), sloping: sloping}
	p.space.numbers(q.at, y)
	if !p.set(q.at) {
		return nil
	}
	l := p.lookAt(p.compile(p.work))
	if !p.keepsReach(l) {
		return nil
	}
	directions := p.directions()
	var aim measure.Aim
	if sloping {
		var err error
		if aim, err = measure.NewAim(l.a, directions); err != nil {
			return nil
		}
	} else {
		directions = nil
	}
	if !p.takeMeasures(q, l, aim) {
		return nil
	}
	p.addPull(q)
	q.rows = p.boundRows(q.rows, q.at)
	q.rows = p.insetRows(q.rows, l, aim)
	q.rows = p.openRows(q.rows, l, aim, directions)
	for i := range q.rows {
		q.over += max(0, -q.rows[i].value)
	}
	return q
}

// set puts numbers into the working design; false where the document would not
// be valid.
func (p *problem) set(at []float64) bool {
	for i := range p.numbers {
		p.numbers[i].work.Set(at[i] / p.numbers[i].per)
	}
	return p.work.Consistent()
}

func (p *problem) compile(d *design.Design) *kinematics.Assembly {
	if p.include == nil {
		return kinematics.Compile(d)
	}
	return kinematics.CompilePart(d, p.include)
}

// measureInto takes the goals' measures of a design.
func (p *problem) measureInto(values []float64, d *design.Design) {
	measure.NewReadings(p.compile(d), p.readings()).Values(values)
}

func (p *problem) readings() []measure.Reading {
	readings := make([]measure.Reading, len(p.goals))
	for i := range p.goals {
		readings[i] = p.goals[i].reading
	}
	return readings
}

// directions are those of the free numbers, with all that follows each.
func (p *problem) directions() []measure.Direction {
	list := make([]measure.Direction, len(p.space.free))
	for k := range list {
		list[k] = measure.Direction{}
		for i := range p.numbers {
			if c := p.space.spread[i][k]; c != 0 {
				list[k][p.numbers[i].Pointer] = c
			}
		}
	}
	return list
}

func (p *problem) takeMeasures(q *point, l *look, aim measure.Aim) bool {
	taker := measure.NewReadings(l.a, p.readings())
	q.values = make([]float64, len(p.goals))
	q.slopes = make([][]float64, len(p.goals))
	if q.sloping {
		for i := range q.slopes {
			q.slopes[i] = make([]float64, len(p.space.free))
		}
		taker.Gradients(q.values, q.slopes, aim)
		p.slopesShut(q, l, aim)
	} else {
		taker.Values(q.values)
	}
	for i := range p.goals {
		g := &p.goals[i]
		if math.IsNaN(q.values[i]) {
			return false
		}
		off := g.off(q.values[i]) / g.tol
		if p.band {
			off = math.Copysign(max(0, math.Abs(off)-1), off)
		}
		q.rest = append(q.rest, off*g.root)
		q.misfit += off * off * g.root * g.root
		for k := range q.slopes[i] {
			if off == 0 && (p.band || g.sense != Equal) {
				q.slopes[i][k] = 0 // kept, and so no matter
			}
			q.slopes[i][k] = orNone(q.slopes[i][k]) / g.tol * g.root
		}
	}
	return true
}

// slopesShut fills in the slopes that goals lack because they are meant shut.
func (p *problem) slopesShut(q *point, l *look, aim measure.Aim) {
	for i := range p.goals {
		r := &p.goals[i].reading
		if r.Drive.Opening != 0 || !slices.ContainsFunc(q.slopes[i], math.IsNaN) {
			continue
		}
		l.a.PoseInto(l.pose, r.Drive)
		taken := l.gauge.Take(&r.Measure, l.pose)
		l.a.PoseInto(l.pose, kinematics.Drive{Opening: nearlyShut, Hand: r.Drive.Hand})
		clear(q.slopes[i])
		l.slopes(aim, func(k int, times float64) {
			q.slopes[i][k] += times * l.gauge.Rate(&taken, l.pose, l.rate)
		})
	}
}

// off is how far a value is from the target; 0 for a bound that is kept.
func (g *goal) off(value float64) float64 {
	d := value - g.target
	if g.sense == AtLeast && d > 0 || g.sense == AtMost && d < 0 {
		return 0
	}
	return d
}

func (p *problem) addPull(q *point) {
	q.cost = q.misfit / 2
	for i := range p.numbers {
		n := &p.numbers[i]
		weight := p.pull / n.scale
		off := (q.at[i] - n.start) * weight
		q.cost += off * off / 2
		if q.sloping {
			q.rest = append(q.rest, off)
			q.slopes = append(q.slopes, scaled(p.space.spread[i], weight))
		}
	}
}
