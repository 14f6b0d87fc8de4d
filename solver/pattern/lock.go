package pattern

import (
	"fmt"
	"math"
	"slices"

	"foldwright/solver/geom"
)

// A locking tab has a neck, which the slot holds, and behind the host wings that
// are wider by a shoulder on each side. The neck is as deep as the host is thick,
// with the clearance of the slot's gap. To pass, the wings fold in over the tab
// along lines that go on from the sides of the neck, and spread again behind: so
// the slot is as long as the neck with its clearance, and as wide as two layers.
// Folded in, the wings must not meet, so the neck is at least as long as both
// shoulders. Derived here.

// leastShoulder is the shoulder that still holds, mm: it is wider than the play
// of the neck in its slot by far. Common practice.
const leastShoulder = 1.0

// lockJoint locks the tab of a joint as its design asks.
func (m *maker) lockJoint(mechanism int, t *tab, wanted float64, glued bool, field string) (shoulder float64, dry bool) {
	if wanted > 0 {
		shoulder = t.lock(wanted, m.a.Design.Paper.Caliper+m.o.SlotGapClearance)
	}
	name := Spaced(m.a.Design.Mechanisms[mechanism].ID)
	switch {
	case wanted > 0 && shoulder == 0:
		m.reportLength(CodeNoLock, mechanism, field, 4*leastShoulder-t.length(),
			fmt.Sprintf("a tab of %s is too small for shoulders and is made plain; it must be glued", name))
	case !glued && shoulder == 0:
		m.report(CodeNoLock, mechanism, field,
			fmt.Sprintf("a tab of %s has neither glue nor shoulders to hold it; it is marked to be glued", name))
	}
	return shoulder, !glued && shoulder > 0
}

// lock makes a neck of the tab, as deep as given, and leaves it plain when there
// is no room. It gives the shoulder on each side, no wider than wanted.
func (t *tab) lock(wanted, deep float64) (shoulder float64) {
	behind := halfPlane{geom.Vec2{Y: 1}, deep}
	wings := cleaned(behind.clipped(t.polygon))
	left, right := 0, 0 // the corners of the wings at the neck
	for i, p := range wings {
		if p.Y > deep+weldTolerance {
			continue
		}
		if wings[left].Y > deep+weldTolerance || p.X < wings[left].X {
			left = i
		}
		if wings[right].Y > deep+weldTolerance || p.X > wings[right].X {
			right = i
		}
	}
	if len(wings) < 3 {
		return 0
	}
	// Of the stretch at the neck, and within the stretch that is joined.
	from, to := max(wings[left].X, t.from), min(wings[right].X, t.to)
	shoulder = min(wanted, (to-from)/4)
	if shoulder < leastShoulder {
		return 0
	}
	t.from, t.to = from+shoulder, to-shoulder
	ring := slices.Concat(wings[right:], wings[:right]) // from the right corner up and round to the left one
	t.polygon = slices.Concat([]geom.Vec2{{X: t.from}, {X: t.to}, {X: t.to, Y: deep}}, ring, []geom.Vec2{{X: t.from, Y: deep}})
	for _, x := range [2]float64{t.from, t.to} {
		t.wings = append(t.wings, [2]geom.Vec2{{X: x, Y: deep}, {X: x, Y: topAt(wings, x)}})
	}
	return shoulder
}

// topAt is how far up a convex polygon reaches at an x within it.
func topAt(polygon []geom.Vec2, x float64) (top float64) {
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		if min(p.X, q.X) <= x && x <= max(p.X, q.X) && p.X != q.X {
			top = max(top, p.Lerp(q, (x-p.X)/(q.X-p.X)).Y)
		}
	}
	return top
}

// addWings scores the lines along which the wings of a tab fold in. In use they
// lie flat.
func (m *maker) addWings(part int, joint string, t *tab, toPart func(geom.Vec2) geom.Vec2) {
	for _, w := range t.wings {
		m.Parts[part].Creases = append(m.Parts[part].Creases, Crease{
			ID: joint + ".wing", Fold: noFold, From: toPart(w[0]), To: toPart(w[1]), Kind: Valley,
			AngleMin: math.Pi, AngleMax: math.Pi,
		})
	}
}
