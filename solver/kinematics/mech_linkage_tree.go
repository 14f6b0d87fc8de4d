package kinematics

import (
	"math"

	"foldwright/solver/geom"
)

// Numbers and unknowns of one joint of the tree.
const (
	foldNumbers, foldUnknowns = 1, 1 // the dihedral
	ballNumbers, ballUnknowns = 4, 3 // a unit quaternion, a small turn
	hingeEquations            = 5
	ballEquations             = 3
	panelUnknowns             = 6
)

// grow divides the joints into a tree that reaches every panel from the hosts
// and the loops that are left. Folds are taken level by level, and glued points
// only where nothing else holds a panel: the shorter the way to a panel the
// less a small turn moves it, and a fold has one unknown where a point has
// three.
func (l *linkage) grow(joints []linkJoint) {
	const unplaced = -1
	above := make([]int, l.panels) // joint of the tree that carries the panel
	for i := range above {
		above[i] = unplaced
	}
	used := make([]bool, len(joints))
	placed := func(panel int) bool { return !l.owns(panel) || above[panel-l.first] != unplaced }
	take := func(k int, j linkJoint) {
		j.number, j.column = l.numbers, l.unknowns
		if j.ball {
			l.numbers, l.unknowns = l.numbers+ballNumbers, l.unknowns+ballUnknowns
		} else {
			l.numbers, l.unknowns = l.numbers+foldNumbers, l.unknowns+foldUnknowns
		}
		used[k] = true
		above[j.b.panel-l.first] = len(l.tree)
		l.tree = append(l.tree, j)
	}
	// reach takes one joint of a kind from what was placed before this level.
	reach := func(k, level int, ball bool) bool {
		j := joints[k]
		if used[k] || j.ball != ball || placed(j.a.panel) == placed(j.b.panel) {
			return false
		}
		if placed(j.b.panel) {
			j.a, j.b, j.turn = j.b, j.a, -j.turn
		}
		if l.owns(j.a.panel) && above[j.a.panel-l.first] >= level {
			return false
		}
		take(k, j)
		return true
	}
	for more := true; more; {
		more = false
		level := len(l.tree)
		for k := range joints {
			more = reach(k, level, false) || more
		}
		for k := 0; k < len(joints) && !more; k++ {
			more = reach(k, level, true)
		}
	}
	for k, j := range joints {
		if used[k] {
			continue
		}
		j.chain = l.effects(above, j)
		l.loops = append(l.loops, j)
		l.equations += j.equations()
	}
}

func (j *linkJoint) equations() int {
	if j.ball {
		return ballEquations
	}
	return hingeEquations
}

// effects lists the joints that move one end of a loop alone.
func (l *linkage) effects(above []int, j linkJoint) []linkEffect {
	signs := make([]float64, len(l.tree))
	climb := func(panel int, sign float64) {
		for l.owns(panel) {
			joint := above[panel-l.first]
			signs[joint] += sign
			panel = l.tree[joint].a.panel
		}
	}
	climb(j.b.panel, 1)
	climb(j.a.panel, -1)
	var list []linkEffect
	for joint, sign := range signs {
		if sign != 0 {
			list = append(list, linkEffect{joint, sign})
		}
	}
	return list
}

// linkWork is the room a linkage needs to be posed in, so that posing does not
// allocate.
type linkWork struct {
	state, start []float64   // numbers of the tree
	axes         []geom.Vec3 // by unknown, in the world
	through      []geom.Vec3 // a point of each axis
	rest         []float64   // what is left of the equations, mm
	slopes       []float64   // their derivative, by columns
	step         []float64
	held         []bool // unknowns that must not move; nil where all may
	qr           leastSquares
}

func (l *linkage) newWork() linkWork {
	return linkWork{
		state: make([]float64, l.numbers), start: make([]float64, l.numbers),
		axes: make([]geom.Vec3, l.unknowns), through: make([]geom.Vec3, l.unknowns),
		rest: make([]float64, l.equations), slopes: make([]float64, l.equations*l.unknowns),
		step: make([]float64, l.unknowns), qr: newLeastSquares(l.equations, l.unknowns),
	}
}

// newLinkWorks makes the workspaces of a pose.
func (a *Assembly) newLinkWorks() []linkWork {
	works := make([]linkWork, len(a.linkages))
	for i, l := range a.linkages {
		works[i] = l.newWork()
	}
	return works
}

// place puts every panel where the numbers of the tree say.
func (l *linkage) place(p *Pose, w *linkWork) {
	for i := range l.tree {
		j := &l.tree[i]
		parent, child := &p.Panels[j.a.panel], &p.Panels[j.b.panel]
		at := parent.At(j.a.middle)
		if j.ball {
			l.placeBall(j, w, parent, child, at)
			continue
		}
		d, across := parent.Dir(j.a.along), parent.Dir(j.a.away)
		sin, cos := math.Sincos(w.state[j.number])
		away := geom.Combine(cos, across, j.turn*sin, d.Cross(across))
		x := geom.Combine(j.b.along.X, d, j.b.away.X, away)
		y := geom.Combine(j.b.along.Y, d, j.b.away.Y, away)
		*child = geom.Frame{Origin: at.Sub(geom.Combine(j.b.middle.X, x, j.b.middle.Y, y)), X: x, Y: y}
		w.axes[j.column], w.through[j.column] = d.Mul(j.turn), at
	}
}

// placeBall turns the child against its parent by a quaternion (1, i, j, k) in
// the parent's frame. Its unknowns are small turns about the parent's axes.
func (l *linkage) placeBall(j *linkJoint, w *linkWork, parent, child *geom.Frame, at geom.Vec3) {
	q := w.state[j.number : j.number+ballNumbers]
	a, b, c, d := q[0], q[1], q[2], q[3]
	n := parent.Normal()
	x := geom.Combine3(a*a+b*b-c*c-d*d, parent.X, 2*(b*c+a*d), parent.Y, 2*(b*d-a*c), n)
	y := geom.Combine3(2*(b*c-a*d), parent.X, a*a-b*b+c*c-d*d, parent.Y, 2*(c*d+a*b), n)
	*child = geom.Frame{Origin: at.Sub(geom.Combine(j.b.middle.X, x, j.b.middle.Y, y)), X: x, Y: y}
	for k, axis := range [ballUnknowns]geom.Vec3{parent.X, parent.Y, n} {
		w.axes[j.column+k], w.through[j.column+k] = axis, at
	}
}

// move changes the numbers of the tree by a step of its unknowns.
func (l *linkage) move(w *linkWork, by float64) {
	for i := range l.tree {
		j := &l.tree[i]
		if !j.ball {
			w.state[j.number] += by * w.step[j.column]
			continue
		}
		turn := geom.Vec3{X: w.step[j.column], Y: w.step[j.column+1], Z: w.step[j.column+2]}.Mul(by)
		turnBy(w.state[j.number:j.number+ballNumbers], turn)
	}
	l.normalize(w.state)
}

// between gives the step that leads from one state to another.
func (l *linkage) between(step, from, to []float64) {
	for i := range l.tree {
		j := &l.tree[i]
		if !j.ball {
			step[j.column] = to[j.number] - from[j.number]
			continue
		}
		// The quaternion of to times the inverse of from.
		a, b := to[j.number:j.number+ballNumbers], from[j.number:j.number+ballNumbers]
		u, v := geom.Vec3{X: a[1], Y: a[2], Z: a[3]}, geom.Vec3{X: b[1], Y: b[2], Z: b[3]}
		axis := geom.Combine3(b[0], u, -a[0], v, -1, u.Cross(v))
		turn := axis.Unit().Mul(2 * math.Atan2(axis.Norm(), dot(a, b)))
		step[j.column], step[j.column+1], step[j.column+2] = turn.X, turn.Y, turn.Z
	}
}

// turnBy turns the quaternion q, from the left, by a rotation vector.
func turnBy(q []float64, turn geom.Vec3) {
	sin, a := math.Sincos(turn.Norm() / 2)
	v := turn.Unit().Mul(sin)
	q0, q1, q2, q3 := q[0], q[1], q[2], q[3]
	q[0] = a*q0 - v.X*q1 - v.Y*q2 - v.Z*q3
	q[1] = a*q1 + v.X*q0 + v.Y*q3 - v.Z*q2
	q[2] = a*q2 - v.X*q3 + v.Y*q0 + v.Z*q1
	q[3] = a*q3 + v.X*q2 - v.Y*q1 + v.Z*q0
}

// normalize brings the quaternions to unit length.
func (l *linkage) normalize(state []float64) {
	for i := range l.tree {
		if j := &l.tree[i]; j.ball {
			q := state[j.number : j.number+ballNumbers]
			k := 1 / math.Sqrt(q[0]*q[0]+q[1]*q[1]+q[2]*q[2]+q[3]*q[3])
			for n := range q {
				q[n] *= k
			}
		}
	}
}

// residual fills in what is left of the equations and gives the greatest, mm.
func (l *linkage) residual(p *Pose, w *linkWork) float64 {
	most, at := 0.0, 0
	for i := range l.loops {
		j := &l.loops[i]
		a, b := &p.Panels[j.a.panel], &p.Panels[j.b.panel]
		gap := b.At(j.b.middle).Sub(a.At(j.a.middle))
		w.rest[at], w.rest[at+1], w.rest[at+2] = gap.X, gap.Y, gap.Z
		if !j.ball {
			d := b.Dir(j.b.along)
			w.rest[at+3] = j.half * d.Dot(a.Dir(j.a.away))
			w.rest[at+4] = j.half * d.Dot(a.Normal())
		}
		for end := at + j.equations(); at < end; at++ {
			most = math.Max(most, math.Abs(w.rest[at]))
		}
	}
	return most
}

// agree tells whether the lines of every loop run the same way: the equations
// hold as well when they run opposite ways.
func (l *linkage) agree(p *Pose) bool {
	for i := range l.loops {
		j := &l.loops[i]
		if !j.ball && p.Panels[j.b.panel].Dir(j.b.along).Dot(p.Panels[j.a.panel].Dir(j.a.along)) < 0 {
			return false
		}
	}
	return true
}

// derive fills in the derivative of the equations by the unknowns. A turn about
// an axis e through q moves a point x by e × (x - q) and a direction d by
// e × d; the second panel's turning against the first counts for directions. Joints
// that move both ends alike are left out: what they do is in proportion to the
// residual.
func (l *linkage) derive(p *Pose, w *linkWork) {
	m := l.equations
	clear(w.slopes)
	row := 0
	for i := range l.loops {
		j := &l.loops[i]
		a, b := &p.Panels[j.a.panel], &p.Panels[j.b.panel]
		atA, atB := a.At(j.a.middle), b.At(j.b.middle)
		var byAway, byNormal geom.Vec3 // d_b × w_a and d_b × n_a
		if !j.ball {
			d := b.Dir(j.b.along)
			byAway = d.Cross(a.Dir(j.a.away)).Mul(j.half)
			byNormal = d.Cross(a.Normal()).Mul(j.half)
		}
		for _, e := range j.chain {
			t := &l.tree[e.joint]
			end := atB
			if e.sign < 0 {
				end = atA
			}
			count := foldUnknowns
			if t.ball {
				count = ballUnknowns
			}
			for col := t.column; col < t.column+count; col++ {
				axis := w.axes[col]
				by := axis.Cross(end.Sub(w.through[col]))
				s := w.slopes[col*m+row : col*m+row+j.equations()]
				s[0], s[1], s[2] = e.sign*by.X, e.sign*by.Y, e.sign*by.Z
				if !j.ball {
					s[3], s[4] = e.sign*axis.Dot(byAway), e.sign*axis.Dot(byNormal)
				}
			}
		}
		row += j.equations()
	}
	for col, held := range w.held {
		if held {
			clear(w.slopes[col*m : (col+1)*m])
		}
	}
}
