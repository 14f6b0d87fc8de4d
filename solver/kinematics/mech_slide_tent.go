package kinematics

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// slideTent poses a sliding tent: a triangle on a page whose base line is
// shortened by a strip from the other page.
//
// Frame. The cross-section of the page across the gutter: v from the gutter
// along the page, z off the page on its printed side. The other page runs at
// the opening t from this one, S = sin t/2, C = cos t/2.
//
// Zero configuration. Shut, t = 0: near panel from v = x0 to x0+n, far panel on
// to x0+n+f, both flat on the page.
//
// Inputs. Fixed offset x0, panel widths n and f, travel X, all > 0 in mm;
// anchor d = X/2 from the gutter on the other page; from, to along the gutter.
//
// Strip. τ(t) is what it has drawn since shut, so the sliding edge is at
// x(t) = x0+n+f-τ. Guided, the strip lies on the page as far as x0 and runs
// straight from there to its anchor, and its length is kept:
//
//	x(t) = x0 + s - √(x0² + d² - 2·x0·d·cos t)
//
// with s from x(0), whence τ = √(u² + v² - 2uv·cos t) - |u-v| for u = d and v =
// x0: the pull strip across a fold, 2·min(u, v) in all. Unguided it runs
// straight from the sliding edge to its anchor, an in-line slider-crank of
// crank d and rod r = x(0) - d:
//
//	x(t) = d·cos t + √(r² - d²·sin² t)
//
// in the textbook form x = a·cos θ + √(b² - (a·sin θ)²). Both are brought to
// forms that do not cancel as t → 0 (derived here):
//
//	guided    τ = 4·x0·d·S²/(q + |x0-d|),  q = √((x0-d)² + 4·x0·d·S²)
//	unguided  τ = 2d·S² + 4d²·S²·C²/(r + √(r² - 4d²·S²·C²))
//
// Triangle. As tent has it, its near end at x0; exact as τ → 0 too.
//
// Positive sense. The ridge stands on the printed side. The base's dihedral is
// measured outside, towards the gutter, where it falls from π when shut; the
// ridge's underneath, where it does too.
//
// Singular. τ = 2·min(n, f): one panel lies on the page again and the triangle
// cannot shorten. r = d·sin t: the strip is square to the other page and binds.
type slideTent struct {
	page, other int     // panels: the tent's page and the anchor's
	printed     float64 // of the page
	near, far   int
	folds       foldRange
	strip       int

	from, middle float64
	x0, d        float64
	tent         // its near end at x0
	guided       bool
	across       float64 // |x0-d|
	rod          float64 // x(0) - d
}

func compileSlideTent(c *compiler, i int, m *design.Mechanism, spec *design.SlideTent) poser {
	t := &slideTent{
		page: c.panels[m.On.Panel], other: pageLeft + pageRight - c.panels[m.On.Panel],
		from: spec.From, middle: spec.StripMiddle(),
		x0: spec.FixedOffset, d: spec.Anchor(),
		guided: spec.Guided,
	}
	t.printed = c.Panels[t.page].Printed
	flat := spec.NearWidth + spec.FarWidth
	t.tent = newTent(spec.NearWidth, spec.FarWidth, t.x0+flat+t.d)
	t.across = math.Abs(t.x0 - t.d)
	t.rod = t.x0 + flat - t.d

	long := spec.To - spec.From
	t.near = c.addPanel(i, m.ID+".near", rectangle(long, t.n))
	t.far = c.addPanel(i, m.ID+".far", rectangle(long, t.f)) // its v = 0 slides
	t.addFolds(c, i, m, long)
	t.addStrip(c, i, m, spec)
	return t
}

func (t *slideTent) addFolds(c *compiler, i int, m *design.Mechanism, long float64) {
	// Seen up the gutter with the printed side up, the gutter is on the left of
	// the right page. The ridge is seen from underneath.
	base := Fold{
		ID: m.ID + ".near_base", Mechanism: i, Role: BaseFold, Length: long,
		Left: edge(t.page, t.from, t.x0, 1, 0, 0, -1), Right: foot(t.near),
		Panels: [2]int{t.page, t.near},
	}
	ridge := Fold{
		ID: m.ID + ".ridge", Mechanism: i, Role: RidgeFold, Length: long,
		Left: head(t.far, t.f), Right: head(t.near, t.n),
		Panels: [2]int{t.near, t.far},
	}
	if t.page == pageLeft {
		base.Left, base.Right = base.Right, base.Left
		ridge.Left, ridge.Right = ridge.Right, ridge.Left
	}
	t.folds.first = c.addFold(base)
	t.folds.end = 1 + c.addFold(ridge)
	c.markOutside(&ridge)
}

func (t *slideTent) addStrip(c *compiler, i int, m *design.Mechanism, spec *design.SlideTent) {
	t.strip = c.addStrip(i, m.ID+".strip", spec.Strip.Width)
	s := &c.Strips[t.strip]
	half, start := spec.Strip.Width/2, t.middle-t.from
	s.Pulls = edge(t.far, start, 0, 1, 0, 0, 1)
	s.Anchor = edge(t.other, t.middle, t.d, 1, 0, 0, 1)
	s.Gap = StripGap{Panel: t.near, From: start - half, To: start + half}
	s.Most, s.Length = 2*min(t.x0, t.d), t.n+t.f+t.across
	if !t.guided {
		s.Most, s.Length = 2*t.d, t.rod
		s.Gap.Rise = t.rise(c.Design.Spread.OpensTo)
	}
}

// drawn is the length τ drawn at half opening (S, C); ok is false where the strip
// binds.
func (t *slideTent) drawn(S, C float64) (tau float64, ok bool) {
	if t.guided {
		k := 4 * t.x0 * t.d * S * S
		q := math.Sqrt(t.across*t.across+k) + t.across
		if q == 0 {
			return 0, true
		}
		return k / q, true
	}
	sine := 2 * t.d * S * C
	square := (t.rod - sine) * (t.rod + sine)
	if t.rod <= 0 || square < -t.rounding*t.rod {
		return 0, false
	}
	return 2*t.d*S*S + sine*sine/(t.rod+math.Sqrt(max(square, 0))), true
}

// riseSteps is how many openings the window for an unguided strip is judged
// from. Where the strip crosses the near panel changes smoothly and by little
// from one to the next; the window has clearance of its own.
const riseSteps = 180

// rise is how far up the near panel an unguided strip passes through it, at
// most, as far as the spread opens. The strip, at the angle β to the page, leaves the sliding edge; it meets
// the near panel, at the angle α, where w·sin α = tan β·(b - w·cos α).
func (t *slideTent) rise(opensTo geom.Angle) float64 {
	most := 0.0
	for k := 1; k <= riseSteps; k++ {
		S, C := (opensTo / 2 * geom.Angle(k) / riseSteps).Sincos()
		tau, ok := t.drawn(S, C)
		if !ok {
			break
		}
		v, z, base, ok := t.ridge(tau)
		if !ok {
			break
		}
		tan := 2 * t.d * S * C / (t.x0 + base - t.d*(C*C-S*S))
		if cross := (z + tan*v) / t.n; cross > 0 {
			most = max(most, base*tan/cross)
		}
	}
	return most
}

func (t *slideTent) pose(p *Pose) Reach {
	g := &p.hinges[gutterFold]
	tau, ok := t.drawn(g.Sin, g.Cos)
	if !ok {
		return LockedOpen
	}
	v, z, base, ok := t.ridge(tau)
	if !ok {
		return LockedOpen
	}
	page := &p.Panels[t.page]
	up_W := page.Normal().Mul(t.printed)
	p.Panels[t.near] = geom.Frame{
		Origin: page.At(geom.Vec2{X: t.from, Y: t.x0}),
		X:      page.X,
		Y:      geom.Combine(v/t.n, page.Y, z/t.n, up_W),
	}
	p.Panels[t.far] = geom.Frame{
		Origin: page.At(geom.Vec2{X: t.from, Y: t.x0 + base}),
		X:      page.X,
		Y:      geom.Combine((v-base)/t.f, page.Y, z/t.f, up_W),
	}
	slide_W := page.At(geom.Vec2{X: t.middle, Y: t.x0 + base})
	anchor_W := p.Panels[t.other].At(geom.Vec2{X: t.middle, Y: t.d})
	if t.guided {
		p.Strips[t.strip].set(tau, slide_W, page.At(geom.Vec2{X: t.middle, Y: t.x0}), anchor_W)
	} else {
		p.Strips[t.strip].set(tau, slide_W, anchor_W)
	}
	p.poseHinges(t.folds)
	return Reached
}
