package layout

import (
	"math"
	"slices"

	"foldwright/solver/geom"
)

// A sheet is worked operation by operation. Within an operation the strokes are
// put in an order with little travel: from each the nearest next (by a greedy
// start), then 2-opt, which turns runs of the order round, and moves of single
// strokes, as long as they shorten the travel. What must come first does come
// first: an inner cut before the outline around it, since a freed part shifts.

// Stroke is a polyline the tool follows without lifting.
type Stroke struct {
	Part      int    // number of the part on the sheet, for precedence
	Operation string // cut, score and so on, as the caller names them
	// Outline marks the stroke that frees its part. All other strokes of the
	// part come before it, whatever their operation order says.
	Outline bool
	Closed  bool
	Points  []geom.Vec2
}

// Step is one stroke of a plan.
type Step struct {
	Stroke  int  // index
	Start   int  // point at which a closed stroke is begun and ended
	Reverse bool // an open stroke is followed from its end
}

// ToolPlan is the order of work for a sheet.
type ToolPlan struct {
	Steps []Step
	PenUp float64 // travel between strokes, from home and back to it
}

// toolRounds bounds the improvement of an order; it settles in a few rounds.
const toolRounds = 40

// OrderStrokes plans the strokes of one sheet. Operations are done in the order
// given; those not listed come after them, by name. home is where the tool
// starts and ends.
func OrderStrokes(strokes []Stroke, operations []string, home geom.Vec2) *ToolPlan {
	t := &toolpath{strokes: strokes, home: home}
	rank := map[string]int{}
	for i, o := range operations {
		if _, ok := rank[o]; !ok {
			rank[o] = i
		}
	}
	var unlisted []string
	for i := range strokes {
		if o := strokes[i].Operation; !slices.Contains(unlisted, o) {
			if _, ok := rank[o]; !ok {
				unlisted = append(unlisted, o)
			}
		}
	}
	slices.Sort(unlisted)
	for i, o := range unlisted {
		rank[o] = len(operations) + i
	}
	t.find()

	t.stage = make([]int, len(strokes))
	for i := range strokes {
		t.stage[i] = rank[strokes[i].Operation]
	}
	// A stroke waits for all that must come before it, so an outline whose
	// operation is early is put off to the last stage of what it waits for.
	for changed := true; changed; {
		changed = false
		for i := range strokes {
			for _, j := range t.before[i] {
				if t.stage[j] > t.stage[i] {
					t.stage[i], changed = t.stage[j], true
				}
			}
		}
	}
	plan := &ToolPlan{}
	at := home
	stages := slices.Clone(t.stage)
	slices.Sort(stages)
	for _, stage := range slices.Compact(stages) {
		var list []int
		for i := range strokes {
			if t.stage[i] == stage && len(strokes[i].Points) > 0 {
				list = append(list, i)
			}
		}
		order := t.nearest(list, at)
		t.improve(order, at)
		var steps []Step
		steps, at = t.walk(order, at)
		plan.Steps = append(plan.Steps, steps...)
	}
	plan.PenUp = t.settle(plan.Steps)
	return plan
}

type toolpath struct {
	strokes []Stroke
	home    geom.Vec2
	before  [][]int // strokes that must come before each
	stage   []int
}

// find fills in what must come before what: the strokes of a part before its
// outline, and everything of a part that lies in a closed inner cut of another
// before that cut, which would free it.
func (t *toolpath) find() {
	n := len(t.strokes)
	t.before = make([][]int, n)
	boxes := make([]geom.Box2, n)
	for i := range t.strokes {
		boxes[i] = geom.EmptyBox()
		for _, p := range t.strokes[i].Points {
			boxes[i] = boxes[i].Extend(p)
		}
	}
	for i := range t.strokes {
		s := &t.strokes[i]
		for j := range t.strokes {
			o := &t.strokes[j]
			switch {
			case i == j || len(o.Points) == 0:
			case s.Part == o.Part:
				if s.Outline && !o.Outline {
					t.before[i] = append(t.before[i], j)
				}
			case s.Closed && len(s.Points) > 2:
				// Bounds first; then one point decides, since strokes of
				// different parts do not cross.
				b, c := boxes[i], boxes[j]
				if c.Min.X >= b.Min.X && c.Max.X <= b.Max.X && c.Min.Y >= b.Min.Y && c.Max.Y <= b.Max.Y && geom.PolygonContains(s.Points, o.Points[0]) {
					t.before[i] = append(t.before[i], j)
				}
			}
		}
	}
}

// enter gives the best way into a stroke from a place: the step and its ends.
func (t *toolpath) enter(i int, from geom.Vec2) (step Step, distance float64, end geom.Vec2) {
	s := &t.strokes[i]
	step.Stroke = i
	if s.Closed {
		distance = math.Inf(1)
		for k, p := range s.Points {
			if d := p.Sub(from).Norm(); d < distance {
				step.Start, distance = k, d
			}
		}
		return step, distance, s.Points[step.Start]
	}
	first, last := s.Points[0], s.Points[len(s.Points)-1]
	distance, end = first.Sub(from).Norm(), last
	if d := last.Sub(from).Norm(); d < distance {
		step.Reverse, distance, end = true, d, first
	}
	return step, distance, end
}

// nearest orders the strokes, each time taking the nearest of those that wait
// for nothing in the list.
func (t *toolpath) nearest(list []int, at geom.Vec2) []int {
	waits := map[int]int{}
	in := map[int]bool{}
	for _, i := range list {
		in[i] = true
	}
	for _, i := range list {
		for _, j := range t.before[i] {
			if in[j] {
				waits[i]++
			}
		}
	}
	left := slices.Clone(list)
	var order []int
	for len(left) > 0 {
		best, least, end := -1, math.Inf(1), at
		for k, i := range left {
			if waits[i] > 0 {
				continue
			}
			if _, d, e := t.enter(i, at); d < least {
				best, least, end = k, d, e
			}
		}
		if best < 0 {
			// Strokes that lie in each other cannot wait for each other.
			return append(order, left...)
		}
		done := left[best]
		order, at = append(order, done), end
		left = slices.Delete(left, best, best+1)
		for _, i := range left {
			if slices.Contains(t.before[i], done) {
				waits[i]--
			}
		}
	}
	return order
}

// walk follows an order from a place, entering every stroke where it is
// nearest.
func (t *toolpath) walk(order []int, at geom.Vec2) (steps []Step, end geom.Vec2) {
	steps = make([]Step, len(order))
	for k, i := range order {
		steps[k], _, at = t.enter(i, at)
	}
	return steps, at
}

// ends gives where a step begins and ends.
func (t *toolpath) ends(s Step) (from, to geom.Vec2) {
	p := t.strokes[s.Stroke].Points
	if t.strokes[s.Stroke].Closed {
		return p[s.Start], p[s.Start]
	}
	if s.Reverse {
		return p[len(p)-1], p[0]
	}
	return p[0], p[len(p)-1]
}

// settle turns each step to suit both its neighbours, as long as that shortens
// the travel, which it gives.
func (t *toolpath) settle(steps []Step) float64 {
	for range toolRounds {
		changed := false
		for k, s := range steps {
			before, after := t.home, t.home
			if k > 0 {
				_, before = t.ends(steps[k-1])
			}
			if k+1 < len(steps) {
				after, _ = t.ends(steps[k+1])
			}
			cost := func(s Step) float64 {
				from, to := t.ends(s)
				return from.Sub(before).Norm() + after.Sub(to).Norm()
			}
			best := s
			try := func(c Step) {
				if cost(c) < cost(best)-samePoint {
					best = c
				}
			}
			if t.strokes[s.Stroke].Closed {
				for i := range t.strokes[s.Stroke].Points {
					try(Step{Stroke: s.Stroke, Start: i})
				}
			} else {
				try(Step{Stroke: s.Stroke, Reverse: !s.Reverse})
			}
			changed = changed || best != s
			steps[k] = best
		}
		if !changed {
			break
		}
	}
	up, at := 0.0, t.home
	for _, s := range steps {
		from, to := t.ends(s)
		up, at = up+from.Sub(at).Norm(), to
	}
	return up + at.Sub(t.home).Norm()
}

// travel is the pen-up distance of an order, with the way home.
func (t *toolpath) travel(order []int, at geom.Vec2) float64 {
	up := 0.0
	for _, i := range order {
		_, d, e := t.enter(i, at)
		up, at = up+d, e
	}
	return up + at.Sub(t.home).Norm()
}

// toolWork bounds the orders compared, so that a sheet with very many strokes
// keeps its greedy order in part.
const toolWork = 20_000_000

// improve shortens the travel by turning runs round and moving single strokes.
func (t *toolpath) improve(order []int, at geom.Vec2) {
	n := len(order)
	points := 0
	for _, i := range order {
		points += len(t.strokes[i].Points)
	}
	budget := toolWork
	best := t.travel(order, at)
	trial := make([]int, n)
	accept := func() bool {
		budget -= points
		if !t.allowed(trial) {
			return false
		}
		if up := t.travel(trial, at); up < best-samePoint {
			best = up
			copy(order, trial)
			return true
		}
		return false
	}
	for range toolRounds {
		better := false
		for i := range n {
			for j := i + 1; j < n; j++ {
				if budget < 0 {
					return
				}
				copy(trial, order)
				slices.Reverse(trial[i : j+1])
				better = accept() || better
			}
		}
		for i := range n {
			for j := range n {
				if i == j || budget < 0 {
					continue
				}
				copy(trial, order)
				v := trial[i]
				copy(trial[i:], trial[i+1:])
				copy(trial[j+1:], trial[j:n-1])
				trial[j] = v
				better = accept() || better
			}
		}
		if !better {
			return
		}
	}
}

// allowed tells whether an order keeps what must come first first.
func (t *toolpath) allowed(order []int) bool {
	place := make([]int, len(t.strokes))
	for i := range place {
		place[i] = -1
	}
	for k, i := range order {
		place[i] = k
	}
	for k, i := range order {
		for _, j := range t.before[i] {
			if place[j] > k {
				return false
			}
		}
	}
	return true
}
