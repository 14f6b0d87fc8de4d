package kinematics

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// between is the drive a part of the way from one to the other.
func between(from, to Drive, part float64) Drive {
	d := Drive{Opening: from.Opening + geom.Angle(part)*(to.Opening-from.Opening), Hand: make([]float64, len(from.Hand))}
	for i := range d.Hand {
		d.Hand[i] = from.Hand[i] + part*(to.Hand[i]-from.Hand[i])
	}
	return d
}

// rangeTolerance is how far, in radians or mm, what is posed may lie outside a range:
// the rounding of the pose itself, and of the drive between two others. Mechanisms
// drawn with no regard to how they stand next to a lock have more of it.
const (
	rangeTolerance     = 1e-11
	wildRangeTolerance = openTolerance
)

// rangeTally is what came of comparing ranges with poses.
type rangeTally struct {
	tolerance        float64
	proved, unproved int
	turnedBack       int     // joints that go further inside than at both ends
	wider            float64 // sum of range widths per width seen
	widest           float64
	compared         int
}

// compare holds the ranges of an interval against poses at evenly spread places in
// it. Joints whose range is not proved are held to it too when strict is set.
func (c *rangeTally) compare(t rapid.TB, a *Assembly, from, to Drive, strict bool) {
	t.Helper()
	const places = 48
	r, p := a.NewRanges(), a.NewPose()
	a.RangesInto(r, from, to)
	seen := make([][places + 1]float64, len(a.Joints()))
	for k := range places + 1 {
		d := between(from, to, float64(k)/places)
		a.PoseInto(p, d)
		for i := range a.Joints() {
			j := &a.Joints()[i]
			if !r.has(j) {
				continue
			}
			if !p.Has(j.Faces[1].Panel) {
				t.Fatalf("%s is not reached at %v between %v and %v", a.Panels[j.Faces[1].Panel].ID, d, from, to)
			}
			q := near(j, p, (r.Lo[i]+r.Hi[i])/2)
			seen[i][k] = q
			if off := max(r.Lo[i]-q, q-r.Hi[i]); off > c.tolerance && (strict || r.Proved[i]) {
				t.Fatalf("joint %d, %s on %s (proved %v), is at %.17g at %v, outside %.17g to %.17g, by %g",
					i, a.Panels[j.Faces[1].Panel].ID, a.Panels[j.Faces[0].Panel].ID, r.Proved[i], q, d, r.Lo[i], r.Hi[i], off)
			}
		}
	}
	for i := range a.Joints() {
		if r.has(&a.Joints()[i]) {
			c.count(r, i, seen[i][:])
		}
	}
}

func (c *rangeTally) count(r *Ranges, joint int, seen []float64) {
	if !r.Proved[joint] {
		c.unproved++
		return
	}
	c.proved++
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range seen {
		lo, hi = min(lo, q), max(hi, q)
	}
	ends := [2]float64{seen[0], seen[len(seen)-1]}
	if lo < min(ends[0], ends[1])-1e-6 || hi > max(ends[0], ends[1])+1e-6 {
		c.turnedBack++
	}
	const narrow = 1e-7 // where rounding of the poses decides the width seen
	if hi-lo > narrow {
		ratio := (r.Hi[joint] - r.Lo[joint]) / (hi - lo)
		c.wider += ratio
		c.widest = max(c.widest, ratio)
		c.compared++
	}
}

func (r *Ranges) has(j *Joint) bool { return j.Mechanism == Spread || r.Reached[j.Mechanism] }

// near is the joint's coordinate in the pose, with the whole turns that bring it near
// another. Faces that coincide have no side: makeHinge counts them as shut even where
// they have come all the way round.
func near(j *Joint, p *Pose, to float64) float64 {
	q := j.Coordinate(p)
	if j.Kind == Sliding {
		return q
	}
	off := math.Remainder(q-to, 2*math.Pi)
	if j.Kind == Hinged {
		if angle := float64(p.FoldAngle(j.Fold)); angle < 2*sameDirection {
			if round := math.Remainder(-angle-float64(j.Zero)-to, 2*math.Pi); math.Abs(round) < math.Abs(off) {
				off = round
			}
		}
	}
	return to + off
}

func TestRangesOfEveryKind(t *testing.T) {
	forEveryKind(t, func(t *testing.T, a *Assembly, info *design.KindInfo) {
		c := rangeTally{tolerance: rangeTolerance}
		for _, i := range [][2]float64{{0, 180}, {0, 1e-3}, {1e-6, 2e-6}, {10, 20}, {179, 180}, {90, 90.0001}, {130, 50}, {77, 77}} {
			from := Drive{Opening: geom.Degrees(i[0]), Hand: a.Rest()}
			to := Drive{Opening: geom.Degrees(i[1]), Hand: midway(a)}
			c.compare(t, a, from, to, true)
		}
		if closed := info.Kind != "linkage"; closed != (c.unproved == 0) {
			t.Errorf("%d joints not proved", c.unproved)
		}
	})
}

// drawInterval draws two drives: the ends and narrow intervals as likely as others.
func drawInterval(t *rapid.T, a *Assembly) (from, to Drive) {
	x, y := drawOpening(t), drawOpening(t)
	if rapid.Bool().Draw(t, "narrow") {
		y = x + (y-x)*math.Pow(10, -float64(rapid.IntRange(1, 9).Draw(t, "power")))
	}
	if rapid.IntRange(0, 3).Draw(t, "shut") == 0 {
		x = 0
	}
	return Drive{Opening: geom.Degrees(x), Hand: a.Rest()}, Drive{Opening: geom.Degrees(y), Hand: midway(a)}
}

func TestRangesOfDesigns(t *testing.T) {
	for _, row := range []struct {
		name      string
		draw      func(*rapid.T) *document
		tolerance float64
	}{
		{"designs", drawDesign, rangeTolerance},
		{"eight generations", drawChain, rangeTolerance},
		{"wild", drawWild, wildRangeTolerance},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := rangeTally{tolerance: row.tolerance}
			rapid.Check(t, func(t *rapid.T) {
				a := row.draw(t).compile(t)
				from, to := drawInterval(t, a)
				c.compare(t, a, from, to, false)
			})
			t.Logf("%d proved, %d not, %d turned back; on average %.9g times as wide as seen, at most %g",
				c.proved, c.unproved, c.turnedBack, c.wider/float64(c.compared), c.widest)
			if c.unproved*100 > c.proved {
				t.Errorf("%d of %d not proved", c.unproved, c.proved)
			}
			// What is posed in 48 places misses some of the way to where a joint
			// turns back or the host has a corner.
			if c.wider > 1.001*float64(c.compared) {
				t.Errorf("on average %g times as wide as what is posed", c.wider/float64(c.compared))
			}
		})
	}
}

// Next to shut, and next to flat, ranges are narrow in proportion to the interval.
func TestRangesShrinkWithTheInterval(t *testing.T) {
	forEveryKind(t, func(t *testing.T, a *Assembly, info *design.KindInfo) {
		if info.Kind == "linkage" {
			return // settles to 1e-9 next to the ends of its way
		}
		shrinks(t, a)
	})
	t.Run("fleet", func(t *testing.T) { shrinks(t, assemble(t, fleet)) })
}

func shrinks(t *testing.T, a *Assembly) {
	r := a.NewRanges()
	var width []float64
	for k := range 10 {
		at := math.Pow(10, -float64(k+3))
		a.RangesInto(r, Drive{Opening: geom.Angle(at)}, Drive{Opening: geom.Angle(2 * at)})
		for i := range a.Joints() {
			w := (r.Hi[i] - r.Lo[i]) / at
			if k == 0 {
				width = append(width, w)
			}
			if a.Joints()[i].Kind == Hinged && math.Abs(w-width[i]) > 0.01*width[i] {
				t.Errorf("joint %d: %g times as wide as from %g to twice that, where it was %g", i, w, at, width[i])
			}
		}
	}
}

// lockingTent locks shut, and one of its base lines is folded flat on the way to
// open.
const lockingTent = `{"id":"tug","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":40,
	"left":{"base_offset":30,"panel_width":50},"right":{"base_offset":20,"panel_width":35}}`

// Where O, B2 and P are in line, P is a2 + p2 from O, and by the law of cosines in
// that triangle the host is at acos((a1² + L² - p1²)/(2·a1·L)) and the other base at
// ω1 = acos((a1² + p1² - L²)/(2·a1·p1)): sides of 30, 50 and 55.
func TestBaseTurnsBackWhereTheOtherIsFlat(t *testing.T) {
	a := assemble(t, lockingTent)
	at := math.Acos((900.0 + 3025 - 2500) / (2 * 30 * 55))
	least := math.Pi - math.Acos((900.0+2500-3025)/(2*30*50))
	r := a.NewRanges()
	a.RangesInto(r, Drive{Opening: geom.Angle(at - 0.3)}, Drive{Opening: geom.Angle(at + 0.3)})
	base := a.FoldIndex("tug.left_base")
	if off := min(math.Abs(r.Lo[base]-least), math.Abs(r.Hi[base]-least)); !(off < 1e-11) {
		t.Errorf("%.15g to %.15g, want an end at %.15g", r.Lo[base], r.Hi[base], least)
	}
	c := rangeTally{tolerance: rangeTolerance}
	c.compare(t, a, Drive{Opening: geom.Angle(at - 0.3)}, Drive{Opening: geom.Angle(at + 0.3)}, true)
	if c.turnedBack != 1 {
		t.Errorf("%d joints turn back", c.turnedBack)
	}
}

// A range up to a lock is reached, and holds; one beyond it is not.
func TestRangesEndAtLocks(t *testing.T) {
	for name, mechanism := range map[string]string{
		"locks shut":  lockingTent,
		"locks open":  `{"id":"tug","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":70,"panel_angle":50,"base_length":40},"ridge_length":50}`,
		"tent folds":  `{"id":"tug","kind":"slide_tent","on":{"panel":"page.left"},"from":10,"to":40,"fixed_offset":60,"near_width":30,"far_width":20,"travel":50}`,
		"strip binds": `{"id":"tug","kind":"slide_tent","on":{"panel":"page.right"},"from":10,"to":40,"guided":false,"fixed_offset":5,"near_width":60,"far_width":60,"travel":140}`,
	} {
		t.Run(name, func(t *testing.T) {
			a := assemble(t, mechanism)
			from := Drive{Opening: geom.Degrees(45)}
			distance, ok := a.LockDistance(0, from)
			if !ok {
				t.Fatal("no lock")
			}
			way := geom.Angle(1)
			if poseAt(a, (from.Opening + distance + 1e-6).Degrees()).Reach[0] == Reached {
				way = -1
			}
			for _, short := range []geom.Angle{0.1, 1e-3, 1e-6, 2 * lockResolution} {
				c := rangeTally{tolerance: rangeTolerance}
				c.compare(t, a, from, Drive{Opening: from.Opening + way*(distance-short)}, true)
				if c.unproved > 0 || c.proved != len(a.Joints()) {
					t.Errorf("%d of %d proved %g short of the lock", c.proved, len(a.Joints()), short)
				}
			}
			r := a.NewRanges()
			a.RangesInto(r, from, Drive{Opening: from.Opening + way*(distance+1e-6)})
			if r.Reached[0] || r.AllReached {
				t.Error("reached beyond the lock")
			}
		})
	}
}

// Forward and backward are the same, whatever the workspace was used for before.
func TestRangesGoBothWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawDesign(t).compile(t)
		from, to := drawInterval(t, a)
		r, s := a.NewRanges(), a.NewRanges()
		a.RangesInto(s, Drive{}, Drive{Opening: 1})
		a.RangesInto(r, from, to)
		a.RangesInto(s, to, from)
		for i := range a.Joints() {
			if r.has(&a.Joints()[i]) && (r.Lo[i] != s.Lo[i] || r.Hi[i] != s.Hi[i] || r.Proved[i] != s.Proved[i]) {
				t.Fatalf("joint %d: %g to %g, and %g to %g the other way", i, r.Lo[i], r.Hi[i], s.Lo[i], s.Hi[i])
			}
		}
	})
}

// What stands on a linkage is no better known than the linkage, but held all the
// same; so is what hangs on a ball.
func TestRangesOfLinkages(t *testing.T) {
	tent := fmt.Sprintf(samples["linkage"], `"id":"tug","on":{"fold":"gutter"}`)
	for name, mechanisms := range map[string]string{
		"planar": planarFourBar, "spherical": sphericalFourBar, "three balls": threeBalls,
		"guest": tent + `,{"id":"gull","kind":"v_fold","on":{"fold":"tug.ridge"},"at":10,"left":{"base_angle":45,"panel_angle":60,"base_length":10},"ridge_length":10}`,
	} {
		t.Run(name, func(t *testing.T) {
			a := assemble(t, mechanisms)
			c := rangeTally{tolerance: rangeTolerance}
			for lo := 0.0; lo < 180; lo += 5 {
				c.compare(t, a, Drive{Opening: geom.Degrees(lo)}, Drive{Opening: geom.Degrees(lo + 5)}, true)
			}
			if c.unproved == 0 {
				t.Error("proved")
			}
		})
	}
}

func TestRangesDoNotAllocate(t *testing.T) {
	check := func(t *testing.T, a *Assembly) {
		r := a.NewRanges()
		if n := testing.AllocsPerRun(100, func() { a.RangesInto(r, Drive{Opening: 1}, Drive{Opening: 1.2}) }); n != 0 {
			t.Errorf("RangesInto makes %g allocations", n)
		}
	}
	forEveryKind(t, func(t *testing.T, a *Assembly, _ *design.KindInfo) { check(t, a) })
	t.Run("fleet", func(t *testing.T) { check(t, assemble(t, fleet)) })
}

// armada is 24 panels besides the pages, on folds of all kinds.
const armada = fleet + `,
	{"id":"quay","kind":"box","on":{"fold":"gutter"},"from":200,"to":280,"left_offset":30,"right_offset":35,"height":25,"lid":true},
	{"id":"deck","kind":"floating_layer","on":{"fold":"gutter"},"from":300,"to":340,"height":15,"left_extent":50,"right_extent":40}`

func BenchmarkRanges(b *testing.B) {
	run := func(name string, a *Assembly) {
		b.Run(name, func(b *testing.B) {
			r, from, to := a.NewRanges(), Drive{Opening: 1}, Drive{Opening: 1.01}
			b.ReportAllocs()
			for b.Loop() {
				a.RangesInto(r, from, to)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(a.Joints())), "ns/joint")
		})
		b.Run(name+"/pose", func(b *testing.B) {
			p := a.NewPose()
			for b.Loop() {
				a.PoseInto(p, Drive{Opening: 1})
			}
		})
	}
	for _, kind := range []design.Kind{"v_fold", "box", "linkage"} {
		run(string(kind), assemble(b, fmt.Sprintf(samples[kind], `"id":"tug","on":{"fold":"gutter"}`)))
	}
	run("armada", assemble(b, armada))
}
