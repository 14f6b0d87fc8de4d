package kinematics

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// This file solves designs a second way that shares nothing with the posers.
// Each panel is turned about its base line by an angle of its own; Newton's
// method finds the pair of angles at which the two panels meet along the
// ridge, and the branch is followed in small steps of the opening.

// loopFold is a fold in space: a point of it, its direction, and the
// directions in which its two faces run away from it.
type loopFold struct{ origin, along, left, right r3.Vec }

// loopPanel is a panel in space.
type loopPanel struct{ origin, u, v r3.Vec }

// loopSide is one panel of a mechanism, before it is turned up.
type loopSide struct {
	origin, base, outside r3.Vec // base line and the way the panel lies unturned
	up                    r3.Vec // off the host, on the working side
	ridgeU, ridgeV        float64
}

// loop follows one design.
type loop struct {
	d       *design.Design
	start   func(mechanism int, sides [2]loopSide) [2]float64
	turns   [][3][2]float64 // by mechanism: the last three pairs of angles, newest first
	steps   int
	swapped map[string]bool // folds whose faces change places
	lost    []bool          // too close to a lock to be followed
	folds   map[string]loopFold
	panels  map[string]loopPanel
	boxes   map[int][]float64 // by mechanism: the last turns of a box
}

func newLoop(d *design.Design) *loop {
	return &loop{
		d:       d,
		turns:   make([][3][2]float64, len(d.Mechanisms)),
		swapped: map[string]bool{}, lost: make([]bool, len(d.Mechanisms)), boxes: map[int][]float64{},
	}
}

func vec(v geom.Vec3) r3.Vec { return r3.Vec(v) }

func add(a r3.Vec, k float64, b r3.Vec) r3.Vec { return r3.Add(a, r3.Scale(k, b)) }

// solve brings the model to the next opening.
func (l *loop) solve(opening float64) {
	half := opening / 2
	left := r3.Vec{X: -math.Sin(half), Z: math.Cos(half)}
	right := r3.Vec{X: math.Sin(half), Z: math.Cos(half)}
	up := r3.Vec{Y: 1}
	l.folds = map[string]loopFold{design.Gutter: {along: up, left: left, right: right}}
	l.panels = map[string]loopPanel{design.PageLeft: {u: up, v: left}, design.PageRight: {u: up, v: right}}
	for _, i := range l.d.Order() {
		m := &l.d.Mechanisms[i]
		if f, ok := m.Spec.(*design.Figure); ok {
			host, known := l.panels[m.On.Panel]
			if l.lost[i] = l.lost[i] || !known; l.lost[i] {
				continue
			}
			turn := r3.NewRotation(float64(f.Place.Rotate), r3.Cross(host.u, host.v))
			l.panels[m.ID+".figure"] = loopPanel{
				origin: add(add(host.origin, f.Place.U, host.u), f.Place.V, host.v),
				u:      turn.Rotate(host.u), v: turn.Rotate(host.v),
			}
			continue
		}
		if l.lost[i] {
			continue
		}
		if upright, ok := l.raiseUpright(i, m); upright {
			l.lost[i] = !ok
			continue
		}
		host, known := l.hostFold(m.On)
		if l.lost[i] = !known; !l.lost[i] {
			l.raise(i, m, host)
		}
	}
	l.steps++
}

// hostFold is the fold from the side stood on.
func (l *loop) hostFold(on design.Host) (loopFold, bool) {
	name := on.Fold
	if f, known := l.folds[name+" "+string(on.Side)]; known {
		return f, true
	}
	if on.Side == design.Inner && name != design.Gutter && name[len(name)-4:] == "base" {
		name += " inside"
	}
	f, known := l.folds[name]
	if on.Side == design.Outer && name[len(name)-5:] == "ridge" {
		f.left, f.right = f.right, f.left
	}
	return f, known
}

// sides lays a mechanism's panels out on the host's faces.
func sides(m *design.Mechanism, host loopFold) [2]loopSide {
	var out [2]loopSide
	faces := [2]r3.Vec{host.left, host.right}
	ups := [2]r3.Vec{r3.Cross(host.along, host.left), r3.Cross(host.right, host.along)}
	switch spec := m.Spec.(type) {
	case *design.VFold:
		left, right := spec.Sides()
		return vLoops(host, faces, ups, spec.At, spec.RidgeLength, spec.Lean == design.Toward, left, right)
	case *design.CutV:
		left, right := spec.Sides()
		return vLoops(host, faces, ups, spec.At, spec.RidgeLength, false, left, right)
	case *design.ParallelFold:
		first, second := spec.Sides()
		for i, side := range []design.ParallelSide{first, second} {
			out[i] = parallelLoop(host, faces[i], ups[i], spec.From, side.BaseOffset, side.PanelWidth)
		}
	case *design.Strap:
		return strapLoops(host, faces, ups, spec)
	case *design.CutStep:
		return strapLoops(host, faces, ups, &spec.Strap)
	}
	return out
}

func vLoops(host loopFold, faces, ups [2]r3.Vec, at, ridgeLength float64, toward bool, left, right design.VSide) (out [2]loopSide) {
	for i, side := range []design.VSide{left, right} {
		about := r3.NewRotation(float64(side.BaseAngle), r3.Cross(host.along, faces[i]))
		base := about.Rotate(host.along)
		outside := about.Rotate(faces[i])
		if toward {
			outside = r3.Scale(-1, outside)
		}
		out[i] = loopSide{
			origin: add(host.origin, at, host.along), base: base, outside: outside, up: ups[i],
			ridgeU: ridgeLength * math.Cos(float64(side.PanelAngle)),
			ridgeV: ridgeLength * math.Sin(float64(side.PanelAngle)),
		}
	}
	return out
}

func strapLoops(host loopFold, faces, ups [2]r3.Vec, s *design.Strap) [2]loopSide {
	return [2]loopSide{
		parallelLoop(host, faces[0], ups[0], s.From, s.LeftOffset, s.RightOffset),
		parallelLoop(host, faces[1], ups[1], s.From, s.RightOffset, s.LeftOffset),
	}
}

func parallelLoop(host loopFold, face, up r3.Vec, from, offset, width float64) loopSide {
	return loopSide{
		origin: add(add(host.origin, from, host.along), offset, face),
		base:   host.along, outside: face, up: up, ridgeV: width,
	}
}

// v is the panel's second axis when it is turned up by angle.
func (s *loopSide) v(angle float64) r3.Vec {
	return r3.Add(r3.Scale(math.Cos(angle), s.outside), r3.Scale(math.Sin(angle), s.up))
}

func (s *loopSide) ridge(angle float64) r3.Vec {
	return add(add(s.origin, s.ridgeU, s.base), s.ridgeV, s.v(angle))
}

// slope is the derivative of ridge.
func (s *loopSide) slope(angle float64) r3.Vec { return r3.Scale(s.ridgeV, s.v(angle+math.Pi/2)) }

// closeLoop turns both panels until they meet. It reports the sine of the angle
// between the two motions of the ridge, small where the loop is hard to close.
func closeLoop(s [2]loopSide, turn [2]float64) (closed [2]float64, conditioning, gap float64) {
	for range 40 {
		r := r3.Sub(s[1].ridge(turn[1]), s[0].ridge(turn[0]))
		j0, j1 := s[0].slope(turn[0]), r3.Scale(-1, s[1].slope(turn[1]))
		// Least squares for j0·δ0 + j1·δ1 = r by Cramer's rule.
		a, b, c := r3.Dot(j0, j0), r3.Dot(j0, j1), r3.Dot(j1, j1)
		det := a*c - b*b
		x, y := r3.Dot(j0, r), r3.Dot(j1, r)
		d0, d1 := (c*x-b*y)/det, (a*y-b*x)/det
		turn[0] += d0
		turn[1] += d1
		conditioning, gap = math.Sqrt(math.Abs(det)/(a*c)), r3.Norm(r)
		if math.Abs(d0)+math.Abs(d1) < 1e-15 {
			break
		}
	}
	return turn, conditioning, gap
}

// raise turns up the panels of mechanism i and records its panels and folds.
func (l *loop) raise(i int, m *design.Mechanism, host loopFold) {
	s := sides(m, host)
	t := &l.turns[i]
	var guess [2]float64
	switch l.steps {
	case 0:
		guess = l.start(i, s)
	case 1:
		guess = t[0]
	case 2:
		guess = [2]float64{2*t[0][0] - t[1][0], 2*t[0][1] - t[1][1]}
	default:
		guess = [2]float64{3*t[0][0] - 3*t[1][0] + t[2][0], 3*t[0][1] - 3*t[1][1] + t[2][1]}
	}
	turn, conditioning, gap := closeLoop(s, guess)
	if conditioning < 0.02 || !(gap < 1e-9) {
		l.lost[i] = true
		return
	}
	*t = [3][2]float64{turn, t[0], t[1]}

	v := [2]r3.Vec{s[0].v(turn[0]), s[1].v(turn[1])}
	ridge := s[0].ridge(turn[0])
	slanted := radial(m) || m.Kind == "cut_v"
	top, along := ridge, s[0].base
	if slanted {
		top, along = s[0].origin, r3.Unit(r3.Sub(ridge, s[0].origin))
	}
	var inward [2]r3.Vec // from the ridge into each panel
	for side, name := range []string{"left", "right"} {
		inward[side] = r3.Scale(-1, v[side])
		if slanted {
			inward[side] = r3.Unit(add(s[side].base, -r3.Dot(s[side].base, along), along))
		}
		l.panels[m.ID+"."+name] = loopPanel{s[side].origin, s[side].base, v[side]}
		l.addFold(m.ID+"."+name+"_base", s[side].origin, s[side].base, s[side].outside, v[side])
		l.addFold(m.ID+"."+name+"_base inside", s[side].origin, s[side].base, r3.Scale(-1, s[side].outside), v[side])
	}
	l.addFold(m.ID+".ridge", top, along, inward[0], inward[1])
}

// radial tells whether the ridge runs from the start of the base lines.
func radial(m *design.Mechanism) bool { return m.Kind == "v_fold" || m.Kind == "cut_v" }

// addFold records a fold. Seen along it with the working side up, the left
// face is on the left: within a half turn that makes left × right point along
// the fold, which settles the order at the first step, for good.
func (l *loop) addFold(name string, origin, along, one, other r3.Vec) {
	if l.steps == 0 {
		l.swapped[name] = r3.Dot(r3.Cross(one, other), along) < 0
	}
	if l.swapped[name] {
		one, other = other, one
	}
	l.folds[name] = loopFold{origin, along, one, other}
}

// standUp finds where the panels start next to shut, from nothing but that a
// panel which shuts flat outside its base line has turned up a little: of all
// closures it is the one with both turns positive and smallest.
func standUp(s [2]loopSide) ([2]float64, bool) {
	best, found := [2]float64{}, false
	for i := range 24 {
		for j := range 24 {
			seed := [2]float64{math.Pi * (float64(i) + 0.5) / 24, math.Pi * (float64(j) + 0.5) / 24}
			if i < 8 && j < 8 { // a finer net next to zero
				seed = [2]float64{1e-3 * math.Pow(2, float64(i)), 1e-3 * math.Pow(2, float64(j))}
			}
			turn, _, gap := closeLoop(s, seed)
			for k := range turn {
				turn[k] = math.Remainder(turn[k], 2*math.Pi)
			}
			if gap < 1e-9 && turn[0] > 0 && turn[1] > 0 && (!found || max(turn[0], turn[1]) < max(best[0], best[1])) {
				best, found = turn, true
			}
		}
	}
	return best, found
}

// standAs reads the turns off a pose: for what stands inside a base line or
// over a ridge, which does not start from lying flat outside its base lines.
func standAs(a *Assembly, p *Pose, mechanism int, s [2]loopSide) [2]float64 {
	var turn [2]float64
	for side, name := range []string{".left", ".right"} {
		v := vec(p.Panels[a.PanelIndex(a.Design.Mechanisms[mechanism].ID+name)].Y)
		turn[side] = math.Atan2(r3.Dot(v, s[side].up), r3.Dot(v, s[side].outside))
	}
	return turn
}

func TestPosesCloseTheLoop(t *testing.T) {
	const (
		from, to, step = 2.0, 179.0, 0.5 // degrees
		tolerance      = 1e-8            // of the model's size
	)
	compared := map[design.Kind]int{}
	deepest := 0
	for name, drawn := range map[string]func(*rapid.T) *document{"design": drawDesign, "chain": drawChain} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				d := drawn(t)
				a := d.compile(t)
				first := poseAt(a, from)
				l := newLoop(a.Design)
				l.start = func(i int, s [2]loopSide) [2]float64 {
					m := &a.Design.Mechanisms[i]
					if d.closed[m.On.Fold] == shut && (m.On.Fold == design.Gutter || m.On.Side == l.workingSide(m.On.Fold)) {
						if turn, found := standUp(s); found {
							return turn
						}
						t.Fatalf("%s: no way to stand at %g degrees", m.ID, from)
					}
					return standAs(a, first, i, s)
				}
				for opening := from; opening <= to; opening += step {
					p := poseAt(a, opening)
					l.solve(float64(geom.Degrees(opening)))
					for i := range a.Panels {
						m := a.Panels[i].Mechanism
						panel, known := l.panels[a.Panels[i].ID]
						if m == Spread || !known {
							continue
						}
						if !p.Has(i) {
							t.Fatalf("%s closes at %g degrees but is said not to be reached", a.Panels[i].ID, opening)
						}
						for _, v := range a.Panels[i].Outline {
							want := add(add(panel.origin, v.X, panel.u), v.Y, panel.v)
							if off := r3.Norm(r3.Sub(vec(p.Panels[i].At(v)), want)); !(off <= tolerance*a.Design.Size()) {
								t.Fatalf("%s at %g degrees is %g mm from where the loop closes", a.Panels[i].ID, opening, off)
							}
						}
						compared[a.Design.Mechanisms[m].Kind]++
						if name == "chain" {
							deepest = max(deepest, m)
						}
					}
				}
			})
		})
	}
	for _, info := range design.Kinds() {
		// Only two panels that meet in a ridge have a loop to close.
		if slices.Contains(info.Folds, "right_base") && len(info.Panels) == 2 && compared[info.Kind] < 1000 {
			t.Errorf("kind %s was compared only %d times", info.Kind, compared[info.Kind])
		}
	}
	if deepest < 7 {
		t.Errorf("no chain was followed to its eighth generation, only to the %d.", deepest+1)
	}
}
