package kinematics

import (
	"math"
	"sort"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

const (
	// seeds is how many states the search for closures starts from.
	seeds = 96
	// seekIterations lets Newton's method find its way from far off.
	seekIterations = 30
	// seekWork bounds the search at one opening, in multiplications: about a
	// tenth of a second. Only structures of ten panels and more come near it.
	seekWork = 1e8
	// maxClosures is how many closures are sought. With freedom left there is
	// no end of them.
	maxClosures = 12
	// maxFollowed is how many of them are followed.
	maxFollowed = 4
	// sameClosure is how near two closures must be, in radians, to be one.
	sameClosure = 1e-4
	// widerRange is by how much more, in radians, a range must be to count as
	// wider: a hundredth of a degree.
	widerRange = math.Pi / 180e2
	// sameHeight is the difference in height, as a fraction of the model,
	// below which two closures stand equally high.
	sameHeight = 1e-6
)

func openingOf(t float64) geom.Angle { return geom.Angle(t) }

// startOpenings lists the openings at which closures are sought, until one is
// found. They keep off the halves and quarters, where designs of round numbers
// like to be singular.
func startOpenings(start *design.LinkageStart, opensTo float64) []float64 {
	if start != nil && start.Opening > 0 {
		return []float64{min(float64(start.Opening), opensTo)}
	}
	list := []float64{0.48, 0.23, 0.74, 0.11, 0.89, 0.05, 0.97}
	for i := range list {
		list[i] *= opensTo
	}
	return list
}

// linkClosure is one way in which the loops close.
type linkClosure struct {
	state  []float64
	misfit float64 // from the angles asked for
	height float64 // over the fold stood on, as a fraction of the model
}

// closures finds ways to close the loops with the hosts as posed, the best
// first: those nearest to the angles asked for, then those that stand highest
// over the fold.
func (f *follower) closures(start *design.LinkageStart) [][]float64 {
	var asked []design.LinkageAngle
	if start != nil {
		asked = start.Angles
	}
	list := f.seek(asked, true)
	if len(list) == 0 && len(asked) > 0 {
		list = f.seek(asked, false)
	}
	sort.SliceStable(list, func(i, j int) bool {
		a, b := &list[i], &list[j]
		if math.Abs(a.misfit-b.misfit) > sameClosure {
			return a.misfit < b.misfit
		}
		return a.height > b.height+sameHeight
	})
	states := make([][]float64, len(list))
	for i := range list {
		states[i] = list[i].state
	}
	return states
}

// seek runs Newton's method from states spread evenly over all there are. Where
// hold is set, angles asked for are started from as they are, and kept as they
// are if the loops close so.
func (f *follower) seek(asked []design.LinkageAngle, hold bool) []linkClosure {
	var list []linkClosure
	held := make(map[int]float64, len(asked)) // by fold
	for _, a := range asked {
		held[f.hosts.FoldIndex(f.hosts.Design.Mechanisms[f.mechanism].ID+"."+a.Fold)] = float64(a.Angle)
	}
	sequence := newKronecker(f.numbers)
	work := 0.0
	keep := make([]bool, f.unknowns)
	solve := func() bool {
		taken, ok := f.solve(f.p, &f.w, seekIterations)
		work += float64(taken) * float64(2*f.equations*f.unknowns*f.unknowns)
		return ok
	}
	for n := range seeds {
		free := false
		point := sequence.next()
		for i := range f.tree {
			j := &f.tree[i]
			if j.ball {
				randomTurn(f.w.state[j.number:j.number+ballNumbers], point[j.number:])
				free = true
			} else if angle, ok := held[j.fold]; ok && hold {
				f.w.state[j.number] = angle
				keep[j.column] = true
			} else {
				f.w.state[j.number] = 2 * math.Pi * point[j.number]
				free = true
			}
		}
		if n > 0 && !free || work > seekWork {
			break
		}
		copy(f.w.start, f.w.state)
		f.w.held = keep
		ok := solve()
		if f.w.held = nil; !ok {
			copy(f.w.state, f.w.start)
			ok = solve()
		}
		if !ok {
			continue
		}
		f.wrap(f.w.state)
		if f.known(list, f.w.state) {
			continue
		}
		c := linkClosure{state: append([]float64(nil), f.w.state...), height: f.height()}
		for fold, angle := range held {
			off := math.Remainder(float64(f.p.FoldAngle(fold))-angle, 2*math.Pi)
			c.misfit = max(c.misfit, math.Abs(off))
		}
		if list = append(list, c); len(list) == maxClosures {
			break
		}
	}
	return list
}

// wrap brings the angles of a state into one turn.
func (f *follower) wrap(state []float64) {
	for i := range f.tree {
		if j := &f.tree[i]; !j.ball {
			state[j.number] -= 2 * math.Pi * math.Floor(state[j.number]/(2*math.Pi))
		}
	}
}

func (f *follower) known(list []linkClosure, state []float64) bool {
	for i := range list {
		if f.differ(list[i].state, state) < sameClosure {
			return true
		}
	}
	return false
}

// differ is the greatest difference between two states up to whole turns, with
// a quaternion and its opposite alike.
func (f *follower) differ(s, t []float64) float64 {
	most := 0.0
	for i := range f.tree {
		j := &f.tree[i]
		if j.ball {
			cos := dot(s[j.number:j.number+ballNumbers], t[j.number:j.number+ballNumbers])
			most = max(most, 2*math.Acos(min(1, math.Abs(cos))))
		} else {
			most = max(most, math.Abs(math.Remainder(s[j.number]-t[j.number], 2*math.Pi)))
		}
	}
	return most
}

// height is how far the middles of the panels lie on average over the fold
// stood on, along the bisector of its faces, as a fraction of the model.
func (f *follower) height() float64 {
	fold := f.host.state(f.p)
	sum := 0.0
	for i := f.first; i < f.first+f.panels; i++ {
		outline := f.hosts.Panels[i].Outline
		for _, v := range outline {
			sum += f.p.Panels[i].At(v).Sub(fold.Origin).Dot(fold.N) / float64(len(outline))
		}
	}
	return sum / float64(f.panels) / f.size
}

// kronecker is a sequence of points spread evenly over the unit cube: multiples
// of the square roots of the primes, without their whole parts (Niederreiter,
// Random Number Generation and Quasi-Monte Carlo Methods, 3.1).
type kronecker struct{ by, at []float64 }

func newKronecker(dimensions int) *kronecker {
	k := &kronecker{at: make([]float64, dimensions)}
	for n := 2; len(k.by) < dimensions; n++ {
		prime := true
		for d := 2; d*d <= n && prime; d++ {
			prime = n%d != 0
		}
		if prime {
			k.by = append(k.by, math.Sqrt(float64(n)))
		}
	}
	return k
}

func (k *kronecker) next() []float64 {
	for i := range k.at {
		k.at[i] = math.Mod(k.at[i]+k.by[i], 1)
	}
	return k.at
}

// randomTurn takes three numbers of [0, 1) to a turn, evenly spread (Shoemake,
// Uniform random rotations, Graphics Gems III).
func randomTurn(q, u []float64) {
	s1, c1 := math.Sincos(2 * math.Pi * u[1])
	s2, c2 := math.Sincos(2 * math.Pi * u[2])
	a, b := math.Sqrt(1-u[0]), math.Sqrt(u[0])
	q[0], q[1], q[2], q[3] = b*c2, a*s1, a*c1, b*s2
}
