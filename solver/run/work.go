package run

import (
	"cmp"
	"math"
	"slices"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/layout"
)

// Work is what the cutter does on one sheet.
type Work struct {
	Operations []Operation // in the order of work
	PenUp      float64     // between strokes, from the corner of the bed and back, mm
	Time       float64     // s
}

// Operation is the lines of one kind.
type Operation struct {
	Op      draw.Operation
	Strokes int
	Length  float64 // mm
}

// Length is that of all lines of some operations.
func (w *Work) Length(ops ...draw.Operation) float64 {
	sum := 0.0
	for _, o := range w.Operations {
		if slices.Contains(ops, o.Op) {
			sum += o.Length
		}
	}
	return sum
}

// Stages of the work. Mountain and valley are scored with one tool.
const (
	scoring     = "1 score"
	perforating = "2 perforate"
	cutting     = "3 cut"
)

var stageOf = map[draw.Operation]string{
	draw.ScoreMountain: scoring, draw.ScoreValley: scoring, draw.Perforate: perforating, draw.Cut: cutting,
}

// worked lists the operations that are worked, in the order of work.
var worked = []draw.Operation{draw.ScoreMountain, draw.ScoreValley, draw.Perforate, draw.Cut}

const (
	// toolTolerance is how far chords leave the curves that are measured, mm.
	toolTolerance = 0.02
	// cornerTurn is the turn at which the tool comes to rest; it goes through
	// flatter ones, as between the chords of a curve, at speed.
	cornerTurn = 20 * math.Pi / 180
)

// outlineMark is the mark of a part's drawing that frees it.
const outlineMark = "outline"

// line is what is worked along a stroke, as long as its curves are and not their
// chords.
type line struct {
	op     draw.Operation
	length float64
}

// strokes lists the lines of a finished drawing in its order. Creases that are
// perforated are worked as perforations.
func strokes(d *draw.Drawing, scores draw.Scores) (list []layout.Stroke, lines []line) {
	for i := range d.Parts {
		p := &d.Parts[i]
		for _, m := range p.Marks {
			op := m.Op
			if scores == draw.Perforated && stageOf[op] == scoring {
				op = draw.Perforate
			}
			stage, ok := stageOf[op]
			if !ok || m.Fill {
				continue
			}
			path := m.Path.Transform(p.Place)
			for k := range path {
				list = append(list, layout.Stroke{
					Part: i, Operation: stage, Outline: m.Op == draw.Cut && m.ID == outlineMark,
					Closed: path[k].Closed, Points: flat(path[k : k+1]),
				})
				lines = append(lines, line{op, path[k : k+1].Length()})
			}
		}
	}
	return list, lines
}

func flat(p geom.Path) []geom.Vec2 {
	rings := p.Flatten(toolTolerance)
	if len(rings) == 0 {
		return nil
	}
	return rings[0]
}

// plan works out the order of work on the sheet, how long it takes, and in which
// order the parts come free.
func (s *Sheet) plan(m *Machine) error {
	d, err := s.Finished()
	if err != nil {
		return err
	}
	list, lines := strokes(d, s.finish.Scores)
	plan := layout.OrderStrokes(list, []string{scoring, perforating, cutting}, geom.Vec2{})
	s.Work = m.work(list, lines, plan)

	// The first part of the drawing is the sheet itself.
	free := make([]int, len(s.Placements))
	for k, step := range plan.Steps {
		if st := &list[step.Stroke]; st.Outline && st.Part > 0 {
			free[st.Part-1] = k
		}
	}
	order := make([]int, len(s.Placements))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(free[a], free[b]) })
	sorted := make([]Placement, len(order))
	for i, k := range order {
		sorted[i] = s.Placements[k]
	}
	s.Placements = sorted
	return nil
}

// work adds up a plan.
func (m *Machine) work(list []layout.Stroke, lines []line, plan *layout.ToolPlan) Work {
	w := Work{PenUp: plan.PenUp}
	for _, op := range worked {
		o := Operation{Op: op}
		for _, l := range lines {
			if l.op == op {
				o.Strokes++
				o.Length += l.length
			}
		}
		if o.Strokes > 0 {
			w.Operations = append(w.Operations, o)
		}
	}
	at := geom.Vec2{}
	for _, step := range plan.Steps {
		from, to := ends(&list[step.Stroke], step)
		w.Time += m.move(from.Sub(at).Norm(), m.Travel) + m.Lift + m.stroke(pointsOf(&list[step.Stroke]), m.speed(lines[step.Stroke].op))
		at = to
	}
	w.Time += m.move(at.Norm(), m.Travel)
	return w
}

func (m *Machine) speed(op draw.Operation) float64 {
	switch op {
	case draw.Cut:
		return m.Cut
	case draw.Perforate:
		return m.Perforate
	default:
		return m.Score
	}
}

// pointsOf lists the points of a stroke, back to the first when it is closed.
func pointsOf(s *layout.Stroke) []geom.Vec2 {
	if !s.Closed || len(s.Points) == 0 {
		return s.Points
	}
	return append(slices.Clone(s.Points), s.Points[0])
}

func ends(s *layout.Stroke, step layout.Step) (from, to geom.Vec2) {
	first, last := s.Points[0], s.Points[len(s.Points)-1]
	switch {
	case s.Closed:
		return s.Points[step.Start], s.Points[step.Start]
	case step.Reverse:
		return last, first
	}
	return first, last
}

// stroke is the time along a line, from rest to rest at each of its corners.
func (m *Machine) stroke(points []geom.Vec2, speed float64) float64 {
	time, run := 0.0, 0.0
	for i := 1; i < len(points); i++ {
		d := points[i].Sub(points[i-1])
		run += d.Norm()
		if i+1 < len(points) {
			next := points[i+1].Sub(points[i])
			if math.Abs(math.Atan2(d.Cross(next), d.Dot(next))) > cornerTurn {
				time, run = time+m.move(run, speed), 0
			}
		}
	}
	return time + m.move(run, speed)
}

// move is the time from rest to rest over a length: up to the speed and down
// again at the acceleration, a trapezoid of speed or, where the length is too
// short for the full speed, a triangle.
func (m *Machine) move(length, speed float64) float64 {
	switch a := m.Acceleration; {
	case a == 0:
		return length / speed
	case length < speed*speed/a:
		return 2 * math.Sqrt(length/a)
	default:
		return length/speed + speed/a
	}
}
