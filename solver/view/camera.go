package view

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Viewpoint is a named place to look from.
type Viewpoint string

const (
	Reader Viewpoint = "reader" // from above the foot of the page, as one reads
	Front  Viewpoint = "front"  // level, from the foot
	Back   Viewpoint = "back"   // level, from the head
	Left   Viewpoint = "left"   // level, from beyond the left page
	Right  Viewpoint = "right"  // level, from beyond the right page
	Top    Viewpoint = "top"    // straight down on the open spread
	Iso    Viewpoint = "iso"    // from above, to the right of the foot
	Free   Viewpoint = "free"   // by Azimuth and Elevation
)

// Projection is how depth is drawn.
type Projection string

const (
	OwnProjection Projection = "" // perspective for reader and free, else parallel
	Parallel      Projection = "parallel"
	Perspective   Projection = "perspective"
)

// Camera is where a picture is taken from. The zero value is the reader's.
type Camera struct {
	Viewpoint Viewpoint // empty is Reader
	// Azimuth and Elevation place a Free viewpoint. Azimuth is 0 at the foot of
	// the page and grows towards the right page; Elevation is above the open
	// spread.
	Azimuth, Elevation geom.Angle
	Projection         Projection
	// Distance is from the eye to the middle of the spread, mm; 0 is a
	// comfortable one, and one that would put the eye inside the model is
	// raised. It matters in perspective only.
	Distance float64
}

// viewpoints holds azimuth and elevation in degrees. A view of equal
// foreshortening, azimuth 45 and elevation 35.3, would look along the right
// page when the book is open at 90 degrees; this one sees that page from 52.
var viewpoints = []struct {
	name               Viewpoint
	azimuth, elevation float64
	own                Projection
}{
	{Reader, 0, 42, Perspective},
	{Front, 0, 0, Parallel},
	{Back, 180, 0, Parallel},
	{Left, -90, 0, Parallel},
	{Right, 90, 0, Parallel},
	{Top, 0, 90, Parallel},
	{Iso, 28, 44, Parallel},
	{Free, 0, 0, Perspective},
}

// Viewpoints lists the names a camera knows.
func Viewpoints() []Viewpoint {
	names := make([]Viewpoint, len(viewpoints))
	for i, v := range viewpoints {
		names[i] = v.name
	}
	return names
}

// resolved checks the camera and replaces its name by angles and a projection.
func (c Camera) resolved() (Camera, error) {
	if c.Viewpoint == "" {
		c.Viewpoint = Reader
	}
	known := false
	for _, v := range viewpoints {
		if v.name != c.Viewpoint {
			continue
		}
		known = true
		if c.Viewpoint != Free {
			c.Azimuth, c.Elevation = geom.Degrees(v.azimuth), geom.Degrees(v.elevation)
		}
		if c.Projection == OwnProjection {
			c.Projection = v.own
		}
	}
	switch {
	case !known:
		return c, &OptionError{"Camera.Viewpoint", "is not a known viewpoint"}
	case c.Projection != Parallel && c.Projection != Perspective:
		return c, &OptionError{"Camera.Projection", "must be parallel or perspective"}
	case !finite(float64(c.Azimuth)):
		return c, &OptionError{"Camera.Azimuth", "must be a finite angle"}
	case !(math.Abs(float64(c.Elevation)) <= math.Pi/2):
		return c, &OptionError{"Camera.Elevation", "must be from -90 to 90 degrees"}
	case !(c.Distance >= 0) || !finite(c.Distance):
		return c, &OptionError{"Camera.Distance", "must be a finite length, not negative"}
	}
	return c, nil
}

// eye is a camera aimed at a model. View coordinates are mm at the distance of
// the target: x to the right, y up, z towards the eye.
type eye struct {
	target       geom.Vec3
	right, up, z geom.Vec3
	distance     float64 // 0 when parallel
}

const (
	// comfortable is the distance of the eye, in diagonals of the open spread,
	// when none is given: a book held at arm's length.
	comfortable = 2.4
	// clearOfModel keeps the eye outside the sphere that holds the model, by a
	// quarter of its radius, so that nothing is stretched beyond measure.
	clearOfModel = 1.25
)

// aim points a resolved camera at the middle of the spread, a little above it,
// and keeps the eye clear of all the poses. The target does not depend on the
// opening, so pictures of one design can be laid side by side.
func aim(c Camera, a *kinematics.Assembly, poses []*kinematics.Pose) eye {
	spread := &a.Design.Spread
	sinA, cosA := c.Azimuth.Sincos()
	sinE, cosE := c.Elevation.Sincos()
	e := eye{
		target: geom.Vec3{Y: spread.PageHeight / 2, Z: spread.PageWidth / 4},
		right:  geom.Vec3{X: cosA, Y: sinA},
		up:     geom.Vec3{X: -sinA * sinE, Y: cosA * sinE, Z: cosE},
		z:      geom.Vec3{X: sinA * cosE, Y: -cosA * cosE, Z: sinE},
	}
	if c.Projection == Parallel {
		return e
	}
	radius := 0.0
	for _, p := range poses {
		for i := range a.Panels {
			if !p.Has(i) {
				continue
			}
			for _, v := range a.Panels[i].Outline {
				radius = max(radius, p.Panels[i].At(v).Sub(e.target).Norm())
			}
		}
	}
	e.distance = c.Distance
	if e.distance == 0 {
		e.distance = comfortable * math.Hypot(2*spread.PageWidth, spread.PageHeight)
	}
	e.distance = max(e.distance, clearOfModel*radius)
	return e
}

// project maps a world point to the picture plane.
func (e *eye) project(p geom.Vec3) geom.Vec2 {
	d := p.Sub(e.target)
	at := geom.Vec2{X: d.Dot(e.right), Y: d.Dot(e.up)}
	if e.distance == 0 {
		return at
	}
	return at.Mul(e.distance / (e.distance - d.Dot(e.z)))
}

// side is positive when the eye is on the side of the plane through p that n
// points to, and zero when the plane is seen edge-on. Its scale is a length
// only in perspective.
func (e *eye) side(p, n geom.Vec3) float64 {
	if e.distance == 0 {
		return n.Dot(e.z)
	}
	return n.Dot(e.target.Add(e.z.Mul(e.distance)).Sub(p))
}
