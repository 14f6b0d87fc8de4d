package fit

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// look is a look at the design with its numbers set to one point.
type look struct {
	a     *kinematics.Assembly
	pose  *kinematics.Pose
	rate  *kinematics.Rate
	gauge *measure.Gauge
}

func (p *problem) lookAt(a *kinematics.Assembly) *look {
	return &look{a, a.NewPose(), a.NewRate(), measure.NewGauge(a)}
}

func (l *look) poseAt(opening float64) {
	l.a.PoseInto(l.pose, kinematics.Drive{Opening: geom.Angle(opening)})
}

// slopes takes the rate of the pose along each direction.
func (l *look) slopes(aim measure.Aim, visit func(k int, times float64)) {
	for k := range aim {
		aim.Rates(l.a, l.rate, l.pose, k, func(times float64) { visit(k, times) })
	}
}

// openingsWatched is how many openings from shut to open must stay within reach.
const openingsWatched = 9

// lookAtStart remembers what is reached now, which is not to be lost, and how
// near to stretched tight each mechanism is.
func (p *problem) lookAtStart(a *kinematics.Assembly) {
	l := p.lookAt(a)
	p.insets = make([]measure.Measure, len(a.Panels))
	for i := range p.insets {
		p.insets[i], _ = measure.Find(a, string(measure.Inset)+"."+a.Panels[i].ID)
	}
	p.reached = make([][]bool, openingsWatched)
	for k := range p.reached {
		l.poseAt(p.watched(k))
		for _, reach := range l.pose.Reach {
			p.reached[k] = append(p.reached[k], reach == kinematics.Reached)
		}
	}
	l.poseAt(float64(p.start.OpensTo()))
	p.reserve = make([]float64, len(p.start.Mechanisms))
	for i := range p.reserve {
		if s, ok := p.spanOf(l, i); ok {
			slack, _ := s.slack(nil, 0)
			p.reserve[i] = max(0, min(slack/s.scale(), openReserve))
		}
	}
}

// openReserve is how far panels are kept from being stretched tight, in mm or
// degrees: half of what hand gluing is out by (common practice), so that an
// answer can be made. What is nearer now may stay as near.
const openReserve = 0.5

func (p *problem) watched(k int) float64 {
	return float64(p.start.OpensTo()) * float64(k) / (openingsWatched - 1)
}

// keepsReach tells whether what moves reaches the openings it reaches now.
func (p *problem) keepsReach(l *look) bool {
	for k := range p.reached {
		if k == 0 && !p.task.Keep.ShutsFlat || k > 0 && !p.task.Keep.OpensFully {
			continue
		}
		l.poseAt(p.watched(k))
		for i, reach := range l.pose.Reach {
			if p.moves[i] && p.reached[k][i] && reach != kinematics.Reached {
				return false
			}
		}
	}
	return true
}
