package kinematics

import (
	"math"

	"foldwright/solver/geom"
)

// Conditioning is how well a mechanism is driven in one pose.
type Conditioning struct {
	// Transmission is the angle at the joint through which the force goes, 0 to
	// a right angle: at a right angle all of the force moves what is driven, at
	// none of it does and the mechanism locks. Transmits is whether there is
	// such a joint: what is rigid with its host has none.
	Transmission geom.Angle
	Transmits    bool
	// Margin is how far that joint is from the nearest position that locks. A
	// position a mechanism is made to come to, folded when shut or flush when
	// flat, does not count: nothing moves past it. CanLock is whether there is
	// any other.
	Margin  geom.Angle
	CanLock bool
	// Amplification is the fastest change of a fold's dihedral per change of the
	// opening. Exists is whether the mechanism's rate does.
	Amplification float64
	Exists        bool
}

// transmitter is a poser with a joint that carries the force between two links.
//
// Two panels that meet in a ridge, each turning on its own base line, are a dyad:
// the base lines come to any distance the links span, and the force between them
// goes through the ridge. By the law of cosines in the triangle of the two links
// and the line between the base lines, planar or spherical,
//
//	cos μ = (p1² + p2² - |B2-B1|²)/(2·p1·p2)
//	cos ζ = (g1·g2 - cos b1·cos b2)/(sin b1·sin b2)
//
// which are the transmission angles of the planar four-bar, (b²+c²-a²-d²+2ad·cos
// θ2)/2bc, and of the spherical one, (cos α cos γ + sin α sin γ cos θ - cos η
// cos β)/(sin η sin β), with the fold's faces put in. Either is the dihedral
// under the ridge: π stretched, 0 folded. What stands between carries
// 1 - cos μ ∝ `shut` and 1 + cos μ ∝ `open` of the posers.
//
// Next to shut every mechanism that shuts flat has a transmission angle in
// proportion to the opening, so this number says nothing there; what holds it
// are the creases, which want to open.
type transmitter interface {
	// transmission is the angle between the links, 0 folded to π stretched, and
	// which of the two is a lock.
	transmission(p *Pose) transmission
}

type transmission struct {
	angle             float64
	folded, stretched bool
}

// ridgeAngle is the dihedral of a ridge, 0 to π.
func ridgeAngle(p *Pose, fold int) float64 {
	return math.Abs(math.Remainder(float64(p.FoldAngle(fold)), 2*math.Pi))
}

func (v *vFold) transmission(p *Pose) transmission {
	return transmission{ridgeAngle(p, v.ridge()), v.flat != 0, v.flush != 0}
}

func (f *parallelFold) transmission(p *Pose) transmission {
	return transmission{ridgeAngle(p, f.ridge()), f.flat != 0, f.flush != 0}
}

// A pulled tent is stretched before the pull, as it is made to be, and folded
// when one panel lies on the other.
func (t *pulledTent) transmission(p *Pose) transmission {
	return transmission{angle: ridgeAngle(p, t.nearBase+1), folded: true}
}

// The two panels of a sliding tent are a dyad as well. A strip that is not guided
// pulls at the angle β to the page, and only its part along the page moves the
// edge: it binds when it is square to the page.
func (t *slideTent) transmission(p *Pose) transmission {
	ridge := ridgeAngle(p, t.folds.first+1)
	if !t.guided {
		g := &p.hinges[gutterFold]
		sine := min(1, 2*t.d*g.Sin*g.Cos/t.rod)
		ridge = min(ridge, math.Pi/2-math.Asin(sine))
	}
	return transmission{angle: ridge, folded: true}
}

// Of a pivot arm the joint is that of crank and link; folded, the strip is
// pushed home, stretched it can be pulled no further.
func (a *pivotArm) transmission(p *Pose) transmission {
	x := a.slider + p.Drive.Hand[a.driver]
	cos := (a.crank*a.crank + a.link*a.link - x*x) / (2 * a.crank * a.link)
	return transmission{math.Acos(min(max(cos, -1), 1)), true, true}
}

// A layer and its supports are parallelograms on the faces, which never lock but
// lie flat with the spread.
func (f *floatingLayer) transmission(p *Pose) transmission {
	return transmission{angle: ridgeAngle(p, f.folds.first)}
}

// ConditioningInto works out how well each mechanism is driven in the pose, in
// the order of the design. r is made the rate of the pose by the opening. What
// is not reached has the zero value.
func (a *Assembly) ConditioningInto(dst []Conditioning, r *Rate, p *Pose) {
	a.RateInto(r, p, a.SeedOpening())
	a.TransmissionInto(dst, p)
	for m := range dst {
		c := &dst[m]
		if c.Exists = p.Reach[m] == Reached && r.Exists[m]; !c.Exists {
			continue
		}
		for fold := r.folds[m].first; fold < r.folds[m].end; fold++ {
			c.Amplification = max(c.Amplification, math.Abs(r.FoldAngle(fold)))
		}
	}
}

// TransmissionInto is ConditioningInto without what takes the rate of the pose: how
// fast folds turn, and whether the rate is there.
func (a *Assembly) TransmissionInto(dst []Conditioning, p *Pose) {
	for i := range a.steps {
		m := a.steps[i].mechanism
		dst[m] = Conditioning{}
		if joint, ok := a.steps[i].poser.(transmitter); ok && p.Reach[m] == Reached {
			joint.transmission(p).into(&dst[m])
		}
	}
}

// Speed is how fast the fastest vertex of a mechanism moves, in mm per radian or
// mm of the seed; zero where the mechanism has no rate.
func (r *Rate) Speed(mechanism int) float64 {
	fastest := 0.0
	for i := range r.a.Panels {
		if r.a.Panels[i].Mechanism != mechanism || !r.Has(i) {
			continue
		}
		for j := range r.a.Panels[i].Outline {
			fastest = max(fastest, r.VertexRate(i, j).Norm())
		}
	}
	return fastest
}

func (t transmission) into(c *Conditioning) {
	c.Transmits, c.CanLock = true, t.folded || t.stretched
	c.Transmission = geom.Angle(min(t.angle, math.Pi-t.angle))
	c.Margin = math.Pi
	if t.folded {
		c.Margin = min(c.Margin, geom.Angle(t.angle))
	}
	if t.stretched {
		c.Margin = min(c.Margin, geom.Angle(math.Pi-t.angle))
	}
}

const (
	// lockStep is the spacing of the openings at which a lock is looked for, as
	// where reach is judged: a lock is where a smooth function changes sign.
	lockStep = math.Pi / 180
	// lockResolution is how finely it is then found.
	lockResolution = 1e-9
)

// LockDistance is how far the opening can change from the given one, which the
// mechanism must reach, before it is no longer reached: the nearer of the two
// ways. ok is false when it is reached all the way from shut to flat open. Hand
// drivers stay as they are in drive.
func (a *Assembly) LockDistance(mechanism int, drive Drive) (distance geom.Angle, ok bool) {
	p := a.NewPose()
	reached := func(opening float64) bool {
		drive.Opening = geom.Angle(opening)
		a.PoseInto(p, drive)
		return p.Reach[mechanism] == Reached
	}
	from := float64(drive.Opening)
	nearest := math.Inf(1)
	for _, end := range [2]float64{0, math.Pi} {
		steps := int(math.Ceil(math.Abs(end-from) / lockStep))
		good := from
		for k := 1; k <= steps; k++ {
			at := from + (end-from)*float64(k)/float64(steps)
			if reached(at) {
				good = at
				continue
			}
			for math.Abs(at-good) > lockResolution {
				if mid := (good + at) / 2; reached(mid) {
					good = mid
				} else {
					at = mid
				}
			}
			nearest = min(nearest, math.Abs(good-from))
			break
		}
	}
	if math.IsInf(nearest, 1) {
		return 0, false
	}
	return geom.Angle(nearest), true
}
