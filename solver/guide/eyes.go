package guide

import (
	"math"
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/view"
)

// Viewpoints of the pictures.
const (
	viewReader = iota
	viewRight
	viewLeft
	viewHead
	viewBelow
	viewCount
)

// viewpoints hold azimuth and elevation in degrees, and how much more must be
// seen from them to be chosen: makers know their way best from the foot. From
// below is for what lies behind a page.
var viewpoints = [viewCount]struct{ azimuth, elevation, worth float64 }{
	viewReader: {0, 42, 1}, viewRight: {28, 44, 0.97}, viewLeft: {-28, 44, 0.97}, viewHead: {180, 42, 0.8}, viewBelow: {0, -42, 0.6},
}

// shares are the openings looked at, as parts of what the spread opens to.
var shares = [...]float64{1, 0.8, 0.6, 0.4}

// openingWorth prefers a page that is neither shut nor flat, where one reads how
// pieces stand.
var openingWorth = [len(shares)]float64{0.92, 1, 0.95, 0.85}

const (
	// lift is how far off its panel a line of sight starts, mm: more than
	// paper lies on paper.
	lift = 0.5
	// perPanel is how many points of a panel are looked for.
	perPanel = 12
)

// eyes choose from where a step is shown.
type eyes struct {
	*writer
	poses  []*kinematics.Pose
	toward [viewCount]geom.Vec3
}

func newEyes(w *writer) *eyes {
	e := &eyes{writer: w}
	for _, share := range shares {
		p := w.a.NewPose()
		w.a.PoseInto(p, kinematics.Drive{Opening: w.a.Design.Spread.OpensTo * geom.Angle(share)})
		e.poses = append(e.poses, p)
	}
	for i, v := range viewpoints {
		sinA, cosA := geom.Degrees(v.azimuth).Sincos()
		sinE, cosE := geom.Degrees(v.elevation).Sincos()
		e.toward[i] = geom.Vec3{X: sinA * cosE, Y: -cosA * cosE, Z: sinE}
	}
	return e
}

// sample is a point that should be seen, with the face it is on: of either side
// where side is 0.
type sample struct {
	panel  int
	at     geom.Vec2
	side   float64
	weight float64
}

// best is the opening and viewpoint that show the most of the samples past the
// panels that are shown.
func (e *eyes) best(samples []sample, shown []int) (pose *kinematics.Pose, viewpoint int) {
	most := -1.0
	for i, p := range e.poses {
		for v := range viewpoints {
			seen := 0.0
			for k := range samples {
				seen += e.seen(p, &samples[k], e.toward[v], shown)
			}
			if seen *= viewpoints[v].worth * openingWorth[i]; seen > most {
				most, pose, viewpoint = seen, p, v
			}
		}
	}
	return pose, viewpoint
}

// seen is how much a sample shows: nothing where a panel is before it.
func (e *eyes) seen(p *kinematics.Pose, s *sample, toward geom.Vec3, shown []int) float64 {
	if s.weight == 0 || !p.Has(s.panel) {
		return 0
	}
	frame := &p.Panels[s.panel]
	n := frame.Normal()
	facing := n.Dot(toward)
	if s.side != 0 && s.side*facing <= 0 {
		return 0
	}
	off := math.Copysign(lift, facing)
	if panel := &e.a.Panels[s.panel]; panel.Behind {
		off = -lift * panel.Printed
	}
	from := frame.At(s.at).Add(n.Mul(off))
	for _, i := range shown {
		if i == s.panel || !p.Has(i) {
			continue
		}
		other := &p.Panels[i]
		m := other.Normal()
		away, closing := other.Origin.Sub(from).Dot(m), toward.Dot(m)
		if away*closing <= 0 {
			continue
		}
		hit := other.Local(from.Add(toward.Mul(away / closing)))
		if geom.PolygonContains(e.a.Panels[i].Outline, geom.Vec2{X: hit.X, Y: hit.Y}) {
			return 0
		}
	}
	return s.weight * math.Abs(facing)
}

// samplesOf spreads points over panels, by their area.
func (e *eyes) samplesOf(panels []int) []sample {
	var list []sample
	for _, i := range panels {
		outline := e.a.Panels[i].Outline
		middle := geom.Vec2{}
		for _, at := range outline {
			middle = middle.Add(at.Mul(1 / float64(len(outline))))
		}
		step := max(1, len(outline)/perPanel)
		var points []geom.Vec2
		for k := 0; k < len(outline); k += step {
			points = append(points, middle.Lerp(outline[k], 0.6))
		}
		weight := math.Abs(geom.PolygonArea(outline)) / float64(len(points))
		for _, at := range points {
			list = append(list, sample{i, at, 0, weight})
		}
	}
	return list
}

func (e *eyes) camera(viewpoint int) view.Camera {
	v := viewpoints[viewpoint]
	return view.Camera{Viewpoint: view.Free, Azimuth: geom.Degrees(v.azimuth), Elevation: geom.Degrees(v.elevation)}
}

// panelsOf lists the panels of parts.
func (w *writer) panelsOf(parts []int) []int {
	var list []int
	for i, part := range w.partOf {
		if slices.Contains(parts, part) {
			list = append(list, i)
		}
	}
	return list
}
