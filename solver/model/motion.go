package model

import (
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// placement is where a node is: first its x scaled, then turned, then moved, in
// the axes and mm of the design.
type placement struct {
	at      geom.Vec3
	turn    quaternion
	stretch float64
	there   bool
}

func placed(f *geom.Frame, stretch float64) placement {
	return placement{f.Origin, turnOf(f), stretch, true}
}

// apply is where a corner (u, v) of the node is.
func (p *placement) apply(q geom.Vec2) geom.Vec3 {
	return p.at.Add(p.turn.rotate(geom.Vec3{X: q.X * p.stretch, Y: q.Y}))
}

// between is what a player of the animation makes of two keys.
func between(a, b *placement, t float64) placement {
	return placement{
		at:      a.at.Add(b.at.Sub(a.at).Mul(t)),
		turn:    a.turn.toward(b.turn, t),
		stretch: a.stretch + (b.stretch-a.stretch)*t,
		there:   a.there,
	}
}

// mover is a node that moves: a panel, or a straight part of a strip.
type mover struct {
	panel       int // or noPanel
	strip, part int
	corners     []geom.Vec2 // that must be right within the tolerance; x of a strip in lengths
	path        []placement // by sample
}

const noPanel = -1

func (m *mover) in(a *kinematics.Assembly, p *kinematics.Pose) placement {
	if m.panel == noPanel {
		band, ok := paper.BandAt(a, p, m.strip, m.part)
		if !ok {
			return placement{}
		}
		return placed(&band.Frame, band.Length)
	}
	if !p.Has(m.panel) {
		return placement{}
	}
	return placed(&p.Panels[m.panel], 1)
}

const (
	// samples is how many openings the motion is read at. They crowd at the
	// ends, as a cosine does, where mechanisms move fastest.
	samples = 241
	// edgeSteps halve the interval in which a mechanism is reached no more: to
	// a millionth of a sample.
	edgeSteps = 20
)

// record poses the design along the animation and notes the path of every
// mover. It gives the samples, from 0 to 1.
func (m *maker) record(movers []mover) []float64 {
	p, o := m.a.NewPose(), &m.o
	pose := func(t float64) {
		m.a.PoseInto(p, kinematics.Drive{Opening: o.From + geom.Angle(t)*(o.To-o.From), Hand: o.Hand})
	}
	var times []float64
	var last []kinematics.Reach
	note := func(t float64) {
		pose(t)
		times = append(times, t)
		for i := range movers {
			movers[i].path = append(movers[i].path, movers[i].in(m.a, p))
		}
		last = append(last[:0], p.Reach...)
	}
	note(0)
	for k := 1; k < samples && !m.halted(); k++ {
		t := 0.5 - 0.5*math.Cos(math.Pi*float64(k)/(samples-1))
		pose(t)
		if !slices.Equal(p.Reach, last) {
			low, high := times[len(times)-1], t
			for range edgeSteps {
				middle := (low + high) / 2
				if pose(middle); slices.Equal(p.Reach, last) {
					low = middle
				} else {
					high = middle
				}
			}
			if low > times[len(times)-1] {
				note(low)
			}
			note(high)
		}
		if t > times[len(times)-1] {
			note(t)
		}
	}
	for i := range movers {
		fillGaps(movers[i].path)
	}
	return times
}

// fillGaps gives a node a place where it is not, next to where it was or will
// be, so that nothing strange is interpolated towards.
func fillGaps(path []placement) {
	var near *placement
	fill := func(i int) {
		switch {
		case path[i].there:
			near = &path[i]
		case near != nil && path[i].turn == (quaternion{}):
			path[i] = *near
			path[i].there = false
		}
	}
	for i := range path {
		fill(i)
	}
	for i := range slices.Backward(path) {
		fill(i)
	}
	// Turns of opposite sign are the same; players take the shorter way, but
	// files read better when neighbours agree.
	for i := 1; i < len(path); i++ {
		if path[i].turn.dot(path[i-1].turn) < 0 {
			path[i].turn = path[i].turn.negated()
		}
	}
}

// keys picks the samples between which interpolation stays within a tolerance:
// from the ends, the worst sample between two keys becomes one, as long as it
// is out of tolerance (Ramer, 1972; Douglas and Peucker, 1973).
func (m *mover) keys(times []float64, tolerance float64) []int {
	out := []int{0}
	var divide func(low, high int)
	divide = func(low, high int) {
		worst, most := -1, tolerance
		for k := low + 1; k < high; k++ {
			t := (times[k] - times[low]) / (times[high] - times[low])
			guess := between(&m.path[low], &m.path[high], t)
			for _, q := range m.corners {
				if d := guess.apply(q).Sub(m.path[k].apply(q)).Norm(); d > most {
					worst, most = k, d
				}
			}
		}
		if worst >= 0 {
			divide(low, worst)
			divide(worst, high)
			return
		}
		out = append(out, high)
	}
	// A node goes from where it is last to where it is next unseen, in one
	// step of the samples, so that need not be followed.
	low := 0
	for k := 1; k < len(times); k++ {
		if m.path[k].there != m.path[k-1].there {
			if k-1 > low {
				divide(low, k-1)
			}
			out = append(out, k)
			low = k
		}
	}
	if last := len(times) - 1; last > low {
		divide(low, last)
	}
	return out
}

// isSeen tells whether the mover is ever there.
func (m *mover) isSeen() bool {
	return slices.ContainsFunc(m.path, func(p placement) bool { return p.there })
}
