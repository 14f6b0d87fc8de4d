package pattern

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// onEdge is how far a point may be from where it belongs, mm: what
// weldTolerance moves, twice.
const onEdge = 2 * weldTolerance

// everyDesign runs a check on the harbour and on random designs.
func everyDesign(t *testing.T, check func(t rapid.TB, a *kinematics.Assembly, p *Pattern)) {
	t.Run("harbour", func(t *testing.T) {
		a := assembly(t, harbour)
		check(t, a, mustMake(t, a, DefaultOptions()))
	})
	t.Run("steps", func(t *testing.T) {
		a := assembly(t, steps)
		check(t, a, mustMake(t, a, DefaultOptions()))
	})
	t.Run("sheets", func(t *testing.T) {
		a := assembly(t, sheets)
		check(t, a, mustMake(t, a, DefaultOptions()))
	})
	t.Run("turned over", func(t *testing.T) {
		a := assembly(t, turnedOver)
		check(t, a, mustMake(t, a, DefaultOptions()))
	})
	t.Run("quayside", func(t *testing.T) {
		a := assembly(t, quayside)
		check(t, a, mustMake(t, a, DefaultOptions()))
	})
	t.Run("random", rapid.MakeCheck(func(t *rapid.T) {
		d, err := design.Decode([]byte(randomDesign(t)))
		if err != nil {
			t.Fatal(err)
		}
		a := kinematics.Compile(d)
		check(t, a, mustMake(t, a, DefaultOptions()))
	}))
}

// placements is where every panel lies: its part and its placement there.
func placements(p *Pattern, a *kinematics.Assembly) (part []*Part, place []geom.Placement) {
	part, place = make([]*Part, len(a.Panels)), make([]geom.Placement, len(a.Panels))
	for i := range p.Parts {
		for _, pl := range p.Parts[i].Panels {
			part[pl.Panel], place[pl.Panel] = &p.Parts[i], pl.Place
		}
	}
	return part, place
}

// Every panel lies in exactly one part, at its own size, inside the outline.
func TestPanelsLieInTheirParts(t *testing.T) {
	everyDesign(t, func(t rapid.TB, a *kinematics.Assembly, p *Pattern) {
		part, place := placements(p, a)
		for i := range a.Panels {
			if part[i] == nil {
				t.Fatalf("panel %s is in no part", a.Panels[i].ID)
			}
			approx(t, "scale of "+a.Panels[i].ID, place[i].Factor(), 1, 1e-12)
			outline := part[i].Outline.Flatten(kinematics.OutlineTolerance)[0]
			within := onEdge
			if m := a.Panels[i].Mechanism; m >= 0 && a.Design.Mechanisms[m].Kind == "wheel" {
				within = notchRadius // but for the bites in its rim, which have a test of their own
			}
			for _, v := range a.Panels[i].Outline {
				q := place[i].Apply(v)
				if !geom.PolygonContains(outline, q) && geom.PolygonDistance(outline, q) > within {
					t.Errorf("%s: corner %v lies outside the part, at %v", a.Panels[i].ID, v, q)
				}
			}
		}
	})
}

// A ridge is one line in the part, seen from either panel.
func TestPanelsShareTheirFolds(t *testing.T) {
	everyDesign(t, func(t rapid.TB, a *kinematics.Assembly, p *Pattern) {
		_, place := placements(p, a)
		for i := range a.Folds {
			f := &a.Folds[i]
			if f.Role == kinematics.BaseFold || p.jointed(f.ID) {
				continue
			}
			l, r := place[f.Left.Panel], place[f.Right.Panel]
			for _, u := range []float64{0, f.Length} {
				near(t, f.ID, l.Apply(f.Left.Origin.Add(f.Left.Along.Mul(u))), r.Apply(f.Right.Origin.Add(f.Right.Along.Mul(u))), 1e-9)
			}
			// The panels lie on opposite sides of it.
			near(t, "away from "+f.ID, l.Dir(f.Left.Away), r.Dir(f.Right.Away).Mul(-1), 1e-9)
		}
	})
}

// A part is its panels and its tabs and nothing else, and its outline does not
// cross itself, so none of them overlap.
func TestPartsAreTheirPanelsAndTabs(t *testing.T) {
	everyDesign(t, func(t rapid.TB, a *kinematics.Assembly, p *Pattern) {
		for i := range p.Parts {
			part := &p.Parts[i]
			if onPanel(a, part) {
				continue // cut into and joined to in ways that have tests of their own
			}
			want := 0.0
			for _, pl := range part.Panels {
				if m := a.Panels[pl.Panel].Mechanism; m >= 0 && a.Design.Mechanisms[m].Info().OneSheet {
					continue // cut from the panels counted already
				}
				want += math.Abs(a.Panels[pl.Panel].Shape.Area())
			}
			for _, j := range p.Joints {
				if j.Part == part.ID {
					want += part.tab(j.Label).Path.Area()
				}
			}
			for _, s := range part.Slots {
				want -= s.Path.Area()
			}
			want += part.Holes.Area() // of windows and pivots in a host; clockwise
			approx(t, "area of "+part.ID, part.Area(), want, 1e-3)
			if len(part.Outline) != 1 || !part.Outline[0].Closed || part.Outline.Area() <= 0 {
				t.Errorf("%s: outline is not one anticlockwise ring", part.ID)
			}
			if i, j, ok := crossing(part.Outline.Flatten(flatTolerance)[0]); ok {
				t.Errorf("%s: edges %d and %d of the outline cross", part.ID, i, j)
			}
		}
	})
}

// onPanel tells whether a part is of a mechanism that lies on a panel.
func onPanel(a *kinematics.Assembly, part *Part) bool {
	if len(part.Panels) == 0 {
		return true
	}
	m := a.Panels[part.Panels[0].Panel].Mechanism
	return m >= 0 && a.Design.Mechanisms[m].Info().Stands == design.OnPanel
}

// crossing finds two edges of a ring that meet although they are not neighbours.
func crossing(ring []geom.Vec2) (int, int, bool) {
	n := len(ring)
	for i := range ring {
		for j := i + 2; j < n; j++ {
			if i == 0 && j == n-1 {
				continue
			}
			// The boxes tell edges of one line apart, whose crossing is a matter
			// of rounding.
			a, b, c, d := ring[i], ring[i+1], ring[j], ring[(j+1)%n]
			if geom.EmptyBox().Extend(a).Extend(b).Overlaps(geom.EmptyBox().Extend(c).Extend(d)) && geom.SegmentDistance(a, b, c, d) < 1e-9 {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// A crease is as long as the line it scores: a ridge as its fold, a base line
// as the tab on it, which lies within the fold.
func TestCreaseLengths(t *testing.T) {
	everyDesign(t, func(t rapid.TB, a *kinematics.Assembly, p *Pattern) {
		_, place := placements(p, a)
		interrupted := map[string]bool{}
		for _, m := range a.Design.Mechanisms {
			interrupted[m.On.Fold] = interrupted[m.On.Fold] || m.Info().OneSheet
			if tab, ok := m.Spec.(*design.PullTab); ok && tab.Moves == design.MovesTent {
				interrupted[m.ID+".near_base"] = true // by the gap for the strip
			}
		}
		for f, list := range necksOf(a) {
			interrupted[a.Folds[f].ID] = interrupted[a.Folds[f].ID] || len(list) > 0
		}
		for i := range p.Parts {
			for _, c := range p.Parts[i].Creases {
				if c.Fold == noFold {
					continue
				}
				f := &a.Folds[c.Fold]
				if f.ID != c.ID {
					t.Fatalf("crease %s names fold %s", c.ID, f.ID)
				}
				if interrupted[c.ID] {
					continue // has a test of its own
				}
				if !p.jointed(c.ID) {
					approx(t, "length of "+c.ID, c.Length(), f.Length-f.Start, 1e-9)
					continue
				}
				panel := f.Panels[1]
				face := faceOn(f, panel)
				for _, end := range []geom.Vec2{c.From, c.To} {
					d := place[panel].Inverse().Apply(end).Sub(face.Origin)
					approx(t, "distance of "+c.ID+" from its line", face.Along.Cross(d), 0, 1e-9)
					if u := face.Along.Dot(d); u < f.Start-1e-9 || u > f.Length+1e-9 {
						t.Errorf("crease %s runs past its base line of %g, to %g", c.ID, f.Length, u)
					}
				}
			}
		}
		for _, j := range p.Joints {
			if c := p.Part(j.Part).crease(j.ID); c != nil && !interrupted[j.ID] {
				approx(t, "length of joint "+j.ID, j.Length, c.Length(), 1e-9)
			}
		}
	})
}

// The mark on the host keeps clear of every crease of the host and of the fold
// its mechanism stands on, and within the host's outline.
func TestTabsKeepToTheirHostPanel(t *testing.T) {
	everyDesign(t, func(t rapid.TB, a *kinematics.Assembly, p *Pattern) {
		part, place := placements(p, a)
		for _, j := range p.Joints {
			fold := a.FoldIndex(j.ID)
			if fold < 0 {
				continue
			}
			host := a.Folds[fold].Panels[0]
			inverse := place[host].Inverse()
			outline := a.Panels[host].Outline
			for _, q := range slices.Concat(part[host].mark(j.Label).Path.Flatten(flatTolerance)...) {
				v := inverse.Apply(q)
				if !geom.PolygonContains(outline, v) && geom.PolygonDistance(outline, v) > onEdge {
					t.Errorf("mark %s reaches outside %s", j.Label, a.Panels[host].ID)
				}
				for i := range a.Folds {
					f := &a.Folds[i]
					stoodOn := f.ID == a.Design.Mechanisms[j.Mechanism].On.Fold
					glued := f.Role == kinematics.BaseFold || p.jointed(f.ID)
					if i == fold || glued && f.Panels[1] != host && !stoodOn {
						continue
					}
					for _, face := range []kinematics.Face{f.Left, f.Right} {
						own := faceOn(&a.Folds[fold], host)
						if face.Panel != host || math.Abs(own.Along.Cross(face.Along))+math.Abs(own.Origin.Sub(face.Origin).Cross(face.Along)) < onEdge {
							continue // or what the mechanism stands on is the crease itself
						}
						if d := math.Abs(v.Sub(face.Origin).Dot(face.Along.Perp())); d < creaseClearance-onEdge {
							t.Errorf("mark %s comes within %g mm of %s", j.Label, d, f.ID)
						}
					}
				}
			}
		}
	})
}

// view is a panel in space as its part shows it: the world directions of the
// part's x and y there, and the direction out of the printed face.
type view struct{ x, y, out geom.Vec3 }

func viewOf(f *geom.Frame, place geom.Placement) view {
	inverse := place.Inverse()
	x, y := f.Dir(inverse.Dir(geom.Vec2{X: 1})), f.Dir(inverse.Dir(geom.Vec2{Y: 1}))
	return view{x, y, x.Cross(y)}
}

// Glue, creases and faces, from where things are in space at half opening and
// from what a part looks like from its printed face; nothing here uses how the
// package works them out.
func TestMarksMeetInSpace(t *testing.T) {
	everyDesign(t, func(t rapid.TB, a *kinematics.Assembly, p *Pattern) {
		part, place := placements(p, a)
		pose := a.NewPose()
		a.PoseInto(pose, kinematics.Drive{Opening: math.Pi / 2})
		world := func(panel int, q geom.Vec2) geom.Vec3 { return pose.Panels[panel].At(place[panel].Inverse().Apply(q)) }
		for _, j := range p.Joints {
			fold := a.FoldIndex(j.ID)
			if fold < 0 || !pose.HasFold(fold) {
				continue
			}
			f := &a.Folds[fold]
			host, panel := f.Panels[0], f.Panels[1]
			c := part[panel].crease(j.ID)
			from, to := world(panel, c.From), world(panel, c.To)
			along := to.Sub(from).Unit()
			offLine := func(q geom.Vec3) float64 { d := q.Sub(from); return d.Sub(along.Mul(d.Dot(along))).Norm() }

			// The mark lies on the base line where the tab does, and reaches as
			// far in as the tab does out: corner for corner the same shape.
			tab, mark := part[panel].tab(j.Label), part[host].mark(j.Label)
			var deep geom.Vec3
			deepest := 0.0
			for _, q := range slices.Concat(tab.Path.Flatten(flatTolerance)...) {
				s, d := world(panel, q).Sub(from).Dot(along), offLine(world(panel, q))
				found := false
				for _, r := range slices.Concat(mark.Path.Flatten(flatTolerance)...) {
					w := world(host, r)
					if math.Abs(w.Sub(from).Dot(along)-s) < 1e-6 && math.Abs(offLine(w)-d) < 1e-6 {
						found = true
						if d > deepest {
							deepest, deep = d, w
						}
					}
				}
				if !found {
					t.Errorf("joint %s: corner of the tab %g along and %g deep has no mate in the mark", j.Label, s, d)
				}
			}
			// Where the tab lies in space, as a direction from the base line.
			into := deep.Sub(from).Sub(along.Mul(deep.Sub(from).Dot(along))).Unit()
			mine, its := viewOf(&pose.Panels[panel], place[panel]), viewOf(&pose.Panels[host], place[host])
			bend := into.Dot(mine.out)
			if math.Abs(bend) < 1e-6 || pose.FoldAngle(fold) > math.Pi || foldsBothWays(c) {
				continue // flat, or through its host, which cannot be made
			}
			if (c.Kind == Mountain) != (bend < 0) {
				t.Errorf("crease %s is a %v but its tab goes %g out of the printed face", c.ID, c.Kind, bend)
			}
			// The side of the host the mechanism stands on.
			standing := its.out
			away := f.Left.Away
			if f.Right.Panel == panel {
				away = f.Right.Away
			}
			if up := pose.Panels[panel].Dir(away).Dot(its.out); up < 0 {
				standing = standing.Neg()
			}
			glued := standing // out of the glued face of the host
			if j.Slotted {
				glued = glued.Neg()
			}
			if mark.OnBack != (glued.Dot(its.out) < 0) {
				t.Errorf("mark %s on %s: OnBack is %v", j.Label, j.Host, mark.OnBack)
			}
			// The tab's printed face, once folded: the turn from the crease to
			// the depth of the tab, seen from the printed side of the part.
			e := c.To.Sub(c.From).Unit()
			inPart := centroid(tab.Path.Flatten(flatTolerance)).Sub(c.From)
			out := along.Cross(into)
			if e.Cross(inPart) < 0 {
				out = out.Neg()
			}
			if tab.OnBack != (out.Dot(glued) > 0) {
				t.Errorf("tab %s of %s: OnBack is %v", j.Label, j.Part, tab.OnBack)
			}
		}
		for i := range p.Parts {
			for _, c := range p.Parts[i].Creases {
				if c.Fold == noFold {
					continue
				}
				f := &a.Folds[c.Fold]
				if p.jointed(c.ID) || !pose.HasFold(c.Fold) || foldsBothWays(&c) {
					continue
				}
				l, r := viewOf(&pose.Panels[f.Left.Panel], place[f.Left.Panel]), viewOf(&pose.Panels[f.Right.Panel], place[f.Right.Panel])
				bend := pose.Panels[f.Right.Panel].Dir(f.Right.Away).Dot(l.out)
				if back := pose.Panels[f.Left.Panel].Dir(f.Left.Away).Dot(r.out); math.Abs(back-bend) > 1e-6 {
					t.Errorf("%s bends %g seen from one panel and %g from the other", c.ID, bend, back)
				}
				if math.Abs(bend) > 1e-6 && (c.Kind == Mountain) != (bend < 0) {
					t.Errorf("%s is a %v but bends %g out of the printed face", c.ID, c.Kind, bend)
				}
			}
		}
	})
}

// The printed face of a mechanism is the one seen from the part of its host
// outside it. Examples whose outside is plain to see at half opening.
func TestPrintedFaces(t *testing.T) {
	a, p := cleanPattern(t, harbour)
	_, place := placements(p, a)
	pose := a.NewPose()
	a.PoseInto(pose, kinematics.Drive{Opening: math.Pi / 2})
	for _, row := range []struct {
		panel string
		sees  geom.Vec3 // a direction in front of the printed face
		why   string
	}{
		{"page.left", geom.Vec3{X: 1}, "the reader looks into the open spread"},
		{"page.right", geom.Vec3{X: -1}, "the reader looks into the open spread"},
		{"lighthouse.left", geom.Vec3{Y: -1}, "it leans towards the foot, so its outside faces the reader"},
		{"lighthouse.right", geom.Vec3{Y: -1}, "as its left panel"},
		{"quay.left", geom.Vec3{X: -1}, "a tent's left panel faces left"},
		{"quay.right", geom.Vec3{X: 1}, "a tent's right panel faces right"},
		{"lamp.figure", geom.Vec3{Y: -1}, "it lies on the front of the lighthouse"},
	} {
		i := a.PanelIndex(row.panel)
		if v := viewOf(&pose.Panels[i], place[i]); v.out.Dot(row.sees) <= 0 {
			t.Errorf("%s: printed face looks along %v, not %v: %s", row.panel, v.out, row.sees, row.why)
		}
	}
}
