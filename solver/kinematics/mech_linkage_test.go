package kinematics

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// twin writes a mechanism as a linkage with the same panels, folds, printed
// faces and working sides. Its panels are drawn as the printed face is seen, so
// u changes sign where the original is printed on the other face. Which of the
// closures is meant is told by the angles of its ridges in a pose of the
// original.
func twin(t rapid.TB, a *Assembly, mechanism int, p *Pose) entry {
	t.Helper()
	m := &a.Design.Mechanisms[mechanism]
	short := func(id string) string { _, name, _ := strings.Cut(id, "."); return name }
	points := func(list ...geom.Vec2) [][2]float64 {
		out := make([][2]float64, len(list))
		for k, v := range list {
			out[k] = [2]float64{v.X, v.Y}
		}
		return out
	}
	// The edge of a panel that a fold runs along, and whether the fold's way.
	edge := func(f *Fold, face *Face) (number int, forward bool) {
		from, to := face.at(f.Start, 0), face.at(f.Length, 0)
		outline := a.Panels[face.Panel].Outline
		for k, v := range outline {
			next := outline[(k+1)%len(outline)]
			if v.Sub(from).Norm()+next.Sub(to).Norm() < 1e-9 {
				return k, true
			}
			if v.Sub(to).Norm()+next.Sub(from).Norm() < 1e-9 {
				return k, false
			}
		}
		t.Fatalf("%s has no edge along %s", a.Panels[face.Panel].ID, f.ID)
		return 0, false
	}
	on := entry{"fold": m.On.Fold}
	if m.On.Fold != design.Gutter {
		on["side"] = string(m.On.Side)
	}
	stood := (&compiler{Assembly: a, folds: map[string]int{m.On.Fold: a.FoldIndex(m.On.Fold)}}).hostFold(m.On)
	panels, hinges, glue, angles := []entry{}, []entry{}, []entry{}, []entry{}
	for k := range a.Panels {
		if a.Panels[k].Mechanism == mechanism {
			outline := points(a.Panels[k].Outline...)
			for n := range outline {
				outline[n][0] *= a.Panels[k].Printed
			}
			panels = append(panels, entry{"id": short(a.Panels[k].ID), "outline": outline})
		}
	}
	for k := range a.Folds {
		f := &a.Folds[k]
		if f.Mechanism != mechanism {
			continue
		}
		if f.Role == RidgeFold {
			left, _ := edge(f, &f.Left)
			right, _ := edge(f, &f.Right)
			hinges = append(hinges, entry{"id": short(f.ID), "between": []entry{
				{"panel": short(a.Panels[f.Left.Panel].ID), "edge": left},
				{"panel": short(a.Panels[f.Right.Panel].ID), "edge": right},
			}})
			angle := p.FoldAngle(k).Degrees()
			if WorkingSide(&f.Left, true) == a.Panels[f.Left.Panel].Printed { // worked over the top
				angle = 360 - angle
			}
			angles = append(angles, entry{"fold": short(f.ID), "angle": min(max(angle, 0), 360)})
			continue
		}
		host, own := &f.Left, &f.Right
		if host.Panel != f.Panels[0] {
			host, own = own, host
		}
		number, forward := edge(f, own)
		start, end := host.at(f.Start, 0), host.at(f.Length, 0)
		if !forward {
			start, end = end, start
		}
		if a.Panels[host.Panel].Mechanism == mechanism {
			local := func(p geom.Vec2) geom.Vec2 { return geom.Vec2{X: a.Panels[host.Panel].Printed * p.X, Y: p.Y} }
			glue = append(glue, entry{
				"id": short(f.ID), "panel": short(a.Panels[own.Panel].ID), "edge": number,
				"to": a.Panels[host.Panel].ID, "at": points(local(start), local(end)),
			})
			continue
		}
		to, on := "left", stood.left
		if host.Panel == stood.right.Panel {
			to, on = "right", stood.right
		}
		local := func(p geom.Vec2) geom.Vec2 {
			p = p.Sub(on.Origin)
			return geom.Vec2{X: p.Dot(on.Along), Y: p.Dot(on.Away)}
		}
		glue = append(glue, entry{
			"id": short(f.ID), "panel": short(a.Panels[own.Panel].ID), "edge": number,
			"to": to, "at": points(local(start), local(end)),
		})
	}
	return entry{
		"id": m.ID, "kind": "linkage", "on": on, "panels": panels, "hinges": hinges, "glue": glue,
		"start": entry{"opening": p.Drive.Opening.Degrees(), "angles": angles},
	}
}

// mayBeTwin leaves out figures, which have no folds; the floating layer, which
// is free to sway; and mechanisms on whose ridges or panels something stands:
// there the twin has the fold or u the other way.
func mayBeTwin(a *Assembly, i int) bool {
	m := &a.Design.Mechanisms[i]
	if m.Info().Stands != design.OnFold || m.Kind == "floating_layer" {
		return false
	}
	for k := range a.Design.Mechanisms {
		other := &a.Design.Mechanisms[k]
		if id, _, _ := strings.Cut(other.On.Fold, "."); id == m.ID &&
			(a.Panels[a.Folds[a.FoldIndex(other.On.Fold)].Panels[0]].Mechanism == i || other.Info().OneSheet) {
			return false
		}
		if id, _, _ := strings.Cut(other.On.Panel, "."); id == m.ID {
			return false
		}
	}
	return true
}

// twins writes every mechanism that it can as a linkage.
func (d *document) twins(t rapid.TB, a *Assembly, p *Pose) (e *document, count int) {
	e = &document{mechanisms: slices.Clone(d.mechanisms), scale: d.scale}
	for i := range e.mechanisms {
		if mayBeTwin(a, i) && p.Reach[i] == Reached {
			e.mechanisms[i] = twin(t, a, i, p)
			count++
		}
	}
	return e, count
}

// snaps tells whether sides that differ by next to nothing make a design pass a
// change point within a few seconds of arc from shut: where it is when shut is
// then as good as undecided.
func snaps(a *Assembly) bool {
	shut, nearly := poseAt(a, 0), poseAt(a, 1e-3)
	for k := range a.Panels {
		if shut.Has(k) && nearly.Has(k) && shut.Panels[k].Y.Sub(nearly.Panels[k].Y).Norm() > 1e-2 {
			return true
		}
	}
	return false
}

// Every closed form is a linkage too, and solved as one it must be in the same
// place, alone and on one another.
func TestTwinsOfEveryKind(t *testing.T) {
	compared := map[design.Kind]int{}
	worst := map[bool]float64{}
	for name, drawn := range map[string]func(*rapid.T) *document{"design": drawDesign, "chain": drawChain} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				d := drawn(t)
				a := d.compile(t)
				p := poseAt(a, decimal(t, "start", 20, 100))
				if !p.AllReached {
					t.Skip("not reached at the start")
				}
				e, count := d.twins(t, a, p)
				if count == 0 {
					t.Skip("nothing to write as a linkage")
				}
				b := e.compile(t)
				q := b.NewPose()
				for _, opening := range []float64{0, 0.1, 0.3, 1, drawOpening(t), drawOpening(t), drawOpening(t)} {
					a.PoseInto(p, Drive{Opening: geom.Degrees(opening)})
					b.PoseInto(q, Drive{Opening: geom.Degrees(opening)})
					// Next to shut, folds that are hardly open magnify each
					// other's rounding over eight generations: a fold of 6e-5
					// rad that is 2e-10 off turns what stands on it by 3e-6. The
					// effect goes with the inverse of the opening and is gone,
					// eight generations deep, by a few degrees.
					tolerance := 1e-8
					switch {
					case opening < 1 && name == "chain":
						tolerance = 1e-4
					case opening < 5 && name == "chain":
						tolerance = 1e-6
					case opening == 0:
						tolerance = shutTolerance
					}
					if opening == 0 && snaps(a) {
						continue
					}
					for k := range a.Panels {
						if a.Panels[k].Mechanism == Spread {
							continue
						}
						m := &a.Design.Mechanisms[a.Panels[k].Mechanism]
						if p.Has(k) != q.Has(k) {
							t.Fatalf("%s (%s) at %g: %v, its twin %v; %+v", a.Panels[k].ID, m.Kind, opening, p.Reach, q.Reach, b.Linkages())
						}
						if !p.Has(k) {
							continue
						}
						mirror := 1.0
						if mayBeTwin(a, a.Panels[k].Mechanism) {
							mirror = a.Panels[k].Printed
						}
						for _, v := range a.Panels[k].Outline {
							was := p.Panels[k].At(v)
							is := q.Panels[k].At(geom.Vec2{X: mirror * v.X, Y: v.Y})
							off := is.Sub(was).Norm() / a.Design.Size()
							worst[opening == 0] = max(worst[opening == 0], off)
							if !(off <= tolerance) {
								t.Fatalf("%s (%s) at %g is %g of the size from its twin; %+v", a.Panels[k].ID, m.Kind, opening, off, b.Linkages())
							}
						}
						compared[m.Kind]++
					}
				}
			})
		})
	}
	t.Log(compared, worst)
}
