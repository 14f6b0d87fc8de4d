package kinematics

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

func conditionAt(a *Assembly, drive Drive) ([]Conditioning, *Pose, *Rate) {
	p, r, c := a.NewPose(), a.NewRate(), make([]Conditioning, len(a.Design.Mechanisms))
	a.PoseInto(p, drive)
	a.ConditioningInto(c, r, p)
	return c, p, r
}

// Planar: cos μ = (b²+c²-a²-d²+2ad·cos θ2)/2bc, the law of cosines in the two
// triangles on the diagonal; for the links 2, 7, 9, 6 at 30 degrees (Norton,
// Design of Machinery, table P4-1 row a, inputs read) μ = 28.4488, computed at
// 30 digits. Spherical: the arcs 30, 80, 70, 60 at 50 give ζ = 45.21077084,
// computed at 30 digits from the formula derived for this project.
func TestTransmissionAngles(t *testing.T) {
	c, _, _ := conditionAt(fourBar(t, 2, 7, 9, 6), Drive{Opening: geom.Degrees(30)})
	approx(t, "μ", c[0].Transmission.Degrees(), 28.4488, 5e-5)
	links := sphericalLinks{alpha: 30, eta: 80, beta: 70, gamma: 60}
	c, _, _ = conditionAt(links.fold(t, "away"), Drive{Opening: geom.Degrees(50)})
	approx(t, "ζ", c[0].Transmission.Degrees(), 45.21077084, 5e-9)

	rapid.Check(t, func(rt *rapid.T) {
		l, theta2 := drawFourBar(rt)
		c, p, _ := conditionAt(fourBar(t, l[0], l[1], l[2], l[3]), Drive{Opening: geom.Degrees(theta2)})
		cos := (l[1]*l[1] + l[2]*l[2] - l[0]*l[0] - l[3]*l[3] + 2*l[0]*l[3]*math.Cos(float64(geom.Degrees(theta2)))) / (2 * l[1] * l[2])
		if p.AllReached {
			approx(t, "cos μ", math.Cos(float64(c[0].Transmission)), math.Abs(cos), 1e-10)
		} else if c[0] != (Conditioning{}) {
			rt.Fatalf("conditioning of what is not reached: %+v", c[0])
		}
	})
}

// The margin is to the positions that lock, and not to those a mechanism is made
// to come to.
func TestMargins(t *testing.T) {
	const tent = `{"id":"tug","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,`
	for _, row := range []struct {
		name, mechanism string
		canLock         bool
		margin          float64
	}{
		{"tent, stretched", tent + `"left":{"base_offset":40,"panel_width":41}}`, true, 180 - 2*geom.Angle(math.Asin(40.0/41)).Degrees()},
		{"tall tent, which shuts flat", tent + `"left":{"base_offset":10,"panel_width":100}}`, true, 180 - 2*geom.Angle(math.Asin(0.1)).Degrees()},
		{"flush tent", tent + `"left":{"base_offset":40,"panel_width":40}}`, false, 180},
		{"strap", `{"id":"tug","kind":"strap","on":{"fold":"gutter"},"from":10,"to":40,"left_offset":20,"right_offset":30}`, false, 180},
		{"tent that does not shut flat", tent + `"left":{"base_offset":40,"panel_width":90},"right":{"base_offset":45,"panel_width":90}}`, true,
			geom.Angle(math.Acos(1 - 85*85/(2*90*90.0))).Degrees()},
	} {
		c, _, _ := conditionAt(assemble(t, row.mechanism), Drive{Opening: math.Pi})
		if !c[0].Transmits || c[0].CanLock != row.canLock {
			t.Errorf("%s: %+v", row.name, c[0])
		}
		approx(t, row.name, c[0].Margin.Degrees(), row.margin, 1e-5)
	}
}

// Where a joint carries the force at the angle μ, its links' sines say how fast
// it turns: on its way to a lock a mechanism is amplified without bound, and on
// the way to shut the angle is in proportion to the opening while nothing is
// amplified. Source: sin κ/2 = k·sin φ/2 with k = sin a/sin b, so κ' = k·cos φ/2 /
// cos κ/2.
func TestAmplificationNextToLocks(t *testing.T) {
	a := assemble(t, `{"id":"tug","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":60,"panel_angle":45,"base_length":40},"ridge_length":50}`)
	k := math.Sqrt(1.5) // sin 60 / sin 45
	lock := 2 * math.Asin(1/k)
	previous := 0.0
	for _, before := range []float64{1e-1, 1e-2, 1e-3, 1e-4} {
		opening := lock - before
		c, _, _ := conditionAt(a, Drive{Opening: geom.Angle(opening)})
		sin, cos := math.Sincos(opening / 2)
		want := k * cos / math.Sqrt(1-k*k*sin*sin)
		approx(t, "amplification", c[0].Amplification/want, 1, 1e-9)
		if c[0].Amplification < 2*previous {
			t.Errorf("amplification %g at %g from the lock, was %g", c[0].Amplification, before, previous)
		}
		previous = c[0].Amplification
		distance, ok := a.LockDistance(0, Drive{Opening: geom.Angle(opening)})
		if !ok {
			t.Fatal("no lock found")
		}
		approx(t, "distance to the lock", float64(distance), before, 1e-8)
	}
	for _, opening := range []float64{1e-6, 1e-3} {
		c, _, _ := conditionAt(a, Drive{Opening: geom.Angle(opening)})
		approx(t, "transmission next to shut", float64(c[0].Transmission)/opening, k, 1e-5)
		approx(t, "amplification next to shut", c[0].Amplification, k, 1e-6)
	}
}

func TestLockDistance(t *testing.T) {
	shut := assemble(t, `{"id":"tug","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,
		"left":{"base_offset":30,"panel_width":60},"right":{"base_offset":30,"panel_width":50}}`)
	// Folded when 2·30·sin φ/2 = 60 - 50.
	lock := 2 * math.Asin(10.0/60)
	distance, ok := shut.LockDistance(0, Drive{Opening: 1})
	if !ok {
		t.Fatal("no lock found")
	}
	approx(t, "to a lock that is less open", float64(distance), 1-lock, 1e-8)
	strap := assemble(t, `{"id":"tug","kind":"strap","on":{"fold":"gutter"},"from":10,"to":40,"left_offset":20,"right_offset":30}`)
	if distance, ok := strap.LockDistance(0, Drive{Opening: 1}); ok {
		t.Errorf("a strap locks %g further", distance)
	}
}

// The strap's panels turn once for each turn of the book, and the far edge of
// its wider panel moves on a circle: speeds in closed form.
func TestSpeeds(t *testing.T) {
	a := assemble(t, `{"id":"tug","kind":"strap","on":{"fold":"gutter"},"from":10,"to":40,"left_offset":20,"right_offset":30}`)
	c, _, r := conditionAt(a, Drive{Opening: math.Pi / 2})
	approx(t, "amplification", c[0].Amplification, 1, 1e-12)
	// The ridge is at 20·l + 30·r, l and r turning at ½ towards and from each
	// other: at right angles, ½·√(20²+30²).
	approx(t, "speed", r.Speed(0), math.Hypot(20, 30)/2, 1e-9)
}

func TestConditioningDoesNotAllocate(t *testing.T) {
	forEveryKind(t, func(t *testing.T, a *Assembly, info *design.KindInfo) {
		p, r, c := a.NewPose(), a.NewRate(), make([]Conditioning, 1)
		a.PoseInto(p, Drive{Opening: 1, Hand: midway(a)})
		if n := testing.AllocsPerRun(10, func() { a.ConditioningInto(c, r, p) }); n != 0 {
			t.Errorf("%g allocations", n)
		}
		if !c[0].Exists {
			t.Errorf("no rate of a %s", info.Kind)
		}
	})
}
