package kinematics

import (
	"maps"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

// Tolerances of the invariants, as fractions of the model's size: the promise
// made for a chain of eight generations, between a tenth of a degree and fully
// open, and shut.
const (
	openTolerance = 1e-9
	shutTolerance = 1e-6
)

func poseAt(a *Assembly, degrees float64) *Pose {
	p := a.NewPose()
	a.PoseInto(p, Drive{Opening: geom.Degrees(degrees)})
	return p
}

// checkRigid checks that every panel is congruent to its flat outline and that
// the two faces of every fold agree on where its ends are.
func checkRigid(t rapid.TB, a *Assembly, p *Pose, tolerance float64) {
	t.Helper()
	for i := range a.Panels {
		if !p.Has(i) {
			continue
		}
		f := &p.Panels[i]
		for _, number := range []float64{f.X.Norm() - 1, f.Y.Norm() - 1, f.X.Dot(f.Y)} {
			if !(math.Abs(number) <= tolerance) {
				t.Fatalf("%s: frame is off orthonormal by %g", a.Panels[i].ID, number)
			}
		}
		world, outline := p.AppendVertices(nil, i), a.Panels[i].Outline
		for j := range outline {
			k := (j + 1) % len(outline)
			is, was := world[k].Sub(world[j]).Norm(), outline[k].Sub(outline[j]).Norm()
			if !(math.Abs(is-was) <= tolerance*a.Design.Size()) {
				t.Fatalf("%s: edge %d is %.12g long, cut %.12g", a.Panels[i].ID, j, is, was)
			}
		}
	}
	for i := range a.Folds {
		if gap := foldGap(a, p, i); p.HasFold(i) && !(gap <= tolerance*a.Design.Size()) {
			t.Fatalf("%s: its faces are %g mm apart", a.Folds[i].ID, gap)
		}
	}
}

// foldGap is how far apart the two faces of a fold put its ends. For a base
// fold one face is the host's: the glued line stays on it.
func foldGap(a *Assembly, p *Pose, fold int) float64 {
	f := &a.Folds[fold]
	gap := 0.0
	for _, u := range []float64{0, f.Length} {
		left := p.Panels[f.Left.Panel].At(f.Left.at(u, 0))
		right := p.Panels[f.Right.Panel].At(f.Right.at(u, 0))
		gap = math.Max(gap, left.Sub(right).Norm())
	}
	return gap
}

func TestPanelsStayRigidAndJoined(t *testing.T) {
	for name, drawn := range map[string]func(*rapid.T) *document{"design": drawDesign, "chain": drawChain} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				a := drawn(t).compile(t)
				checkRigid(t, a, poseAt(a, drawOpening(t)), openTolerance)
				checkRigid(t, a, poseAt(a, 0), shutTolerance)
			})
		})
	}
}

// Whatever is asked for, what is reached is rigid and joined. The tolerance is
// the wider one: next to a lock, lengths are met to reachRounding only, and
// slivers of half a degree magnify it.
func TestWildDesignsStayRigidAndJoined(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawWild(t).compile(t)
		p := a.NewPose()
		for range 20 {
			a.PoseInto(p, Drive{Opening: geom.Degrees(drawOpening(t))})
			checkRigid(t, a, p, shutTolerance)
		}
	})
}

func TestShutDesignsArePlanar(t *testing.T) {
	for name, drawn := range map[string]func(*rapid.T) *document{"design": drawDesign, "chain": drawChain} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				d := drawn(t)
				a := d.compile(t)
				p := poseAt(a, 0)
				if !p.AllReached {
					t.Fatalf("not reached when shut: %v", p.Reach)
				}
				for i := range a.Panels {
					for _, v := range p.AppendVertices(nil, i) {
						if !(math.Abs(v.X) <= shutTolerance*a.Design.Size()) {
							t.Fatalf("%s stands %g mm off the shut page", a.Panels[i].ID, v.X)
						}
					}
				}
				for i := range a.Folds {
					when, known := d.closed[a.Folds[i].ID]
					if !known {
						continue
					}
					want := float64(when) * math.Pi
					if off := math.Remainder(float64(p.FoldAngle(i))-want, 2*math.Pi); !(math.Abs(off) <= shutTolerance) {
						t.Fatalf("%s is %g rad off the %g it has when shut", a.Folds[i].ID, off, want)
					}
				}
			})
		})
	}
}

// Panels drawn to shut flat must never push through their host on the way: the
// outside of a base line and the underside of a ridge stay within a half turn.
func TestPanelsStayOnTheirSide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDesign(t)
		a := d.compile(t)
		p := poseAt(a, drawOpening(t))
		for i := range a.Folds {
			if _, known := d.closed[a.Folds[i].ID]; !known || !p.HasFold(i) {
				continue
			}
			if angle := float64(p.FoldAngle(i)); angle > math.Pi+1e-6 && angle < 2*math.Pi-1e-6 {
				t.Fatalf("%s is folded to %g degrees", a.Folds[i].ID, p.FoldAngle(i).Degrees())
			}
		}
	})
}

// mirrored is the design with left and right exchanged.
func (d *document) mirrored() *document {
	swap := map[string]string{"left": "right", "right": "left"}
	other := func(name string) string {
		i := strings.Index(name, ".") + 1
		words := strings.Split(name[i:], "_")
		for k, word := range words {
			if to, ok := swap[word]; ok {
				words[k] = to
			}
		}
		return name[:i] + strings.Join(words, "_")
	}
	m := &document{}
	for _, e := range d.mechanisms {
		copied := entry{}
		for key, value := range e {
			copied[other(key)] = value
		}
		on := entry{}
		for key, value := range e["on"].(entry) {
			on[key] = other(value.(string))
		}
		copied["on"] = on
		m.mechanisms = append(m.mechanisms, copied)
	}
	return m
}

func TestMirrorSymmetry(t *testing.T) {
	mirror := func(v geom.Vec3) geom.Vec3 { v.X = -v.X; return v }
	other := func(id string) string {
		return (&document{mechanisms: []entry{{"on": entry{"panel": id}}}}).mirrored().mechanisms[0]["on"].(entry)["panel"].(string)
	}
	rapid.Check(t, func(t *rapid.T) {
		d := drawDesign(t)
		a, b := d.compile(t), d.mirrored().compile(t)
		opening := drawOpening(t)
		p, q := poseAt(a, opening), poseAt(b, opening)
		for i := range a.Panels {
			j := b.PanelIndex(other(a.Panels[i].ID))
			if p.Has(i) != q.Has(j) {
				t.Fatalf("%s: only one of the two is reached", a.Panels[i].ID)
			}
			if !p.Has(i) {
				continue
			}
			f, g := &p.Panels[i], &q.Panels[j]
			off := max(
				mirror(f.Origin).Sub(g.Origin).Norm()/a.Design.Size(),
				mirror(f.X).Sub(g.X).Norm(), mirror(f.Y).Sub(g.Y).Norm(),
			)
			if !(off <= openTolerance) {
				t.Fatalf("%s and its mirror image differ by %g", a.Panels[i].ID, off)
			}
		}
	})
}

// A design moved along the gutter moves and does nothing else.
func TestMovedAlongGutter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDesign(t)
		by := decimal(t, "by", -100, 100)
		moved := &document{}
		for _, e := range d.mechanisms {
			copied := entry{}
			maps.Copy(copied, e)
			if e["on"].(entry)["fold"] == "gutter" || e["kind"] == "slide_tent" {
				for _, key := range []string{"at", "from", "to"} {
					if v, has := copied[key]; has {
						copied[key] = v.(float64) + by
					}
				}
			}
			if strip, has := copied["strip"].(entry); has {
				copied["strip"] = entry{"width": strip["width"], "at": strip["at"].(float64) + by}
			}
			moved.mechanisms = append(moved.mechanisms, copied)
		}
		a, b := d.compile(t), moved.compile(t)
		opening := drawOpening(t)
		p, q := poseAt(a, opening), poseAt(b, opening)
		for i := range a.Panels {
			if !p.Has(i) || onPage(a, i) {
				continue
			}
			want := p.Panels[i].Origin.Add(geom.Vec3{Y: by})
			if off := want.Sub(q.Panels[i].Origin).Norm(); !(off <= openTolerance*a.Design.Size()) {
				t.Fatalf("%s is %g mm from where it should have moved", a.Panels[i].ID, off)
			}
		}
	})
}

// onPage is whether the panel, or what it is fixed to, is a page.
func onPage(a *Assembly, panel int) bool {
	m := a.Panels[panel].Mechanism
	for m != Spread {
		on := a.Design.Mechanisms[m].On
		if on.Panel == "" {
			return false
		}
		m = a.Panels[a.PanelIndex(on.Panel)].Mechanism
	}
	return true
}

// A design twice as large moves alike. Doubling is exact in binary, so every
// digit must agree.
func TestTwiceAsLarge(t *testing.T) {
	lengths := map[string]bool{
		"at": true, "from": true, "to": true, "base_length": true, "ridge_length": true, "base_offset": true,
		"panel_width": true, "left_offset": true, "right_offset": true, "u": true, "v": true,
		"height": true, "left_extent": true, "right_extent": true, "left_support": true, "right_support": true,
		"fixed_offset": true, "near_width": true, "far_width": true, "travel": true, "width": true,
	}
	var double func(e entry) entry
	double = func(e entry) entry {
		copied := entry{}
		for key, value := range e {
			switch v := value.(type) {
			case float64:
				if lengths[key] {
					value = 2 * v
				}
			case entry:
				value = double(v)
			}
			copied[key] = value
		}
		return copied
	}
	rapid.Check(t, func(t *rapid.T) {
		d := drawDesign(t)
		large := &document{scale: 2}
		for _, e := range d.mechanisms {
			large.mechanisms = append(large.mechanisms, double(e))
		}
		a, b := d.compile(t), large.compile(t)
		opening := drawOpening(t)
		p, q := poseAt(a, opening), poseAt(b, opening)
		for i := range a.Panels {
			f, g := p.Panels[i], q.Panels[i]
			f.Origin = f.Origin.Mul(2)
			if f != g {
				t.Fatalf("%s: %v is not twice %v", a.Panels[i].ID, g, p.Panels[i])
			}
		}
	})
}

// Nothing jumps. Between two openings at which all is reached, the half with
// the larger motion is followed down to a width at which even the square root
// motion next to a lock is small; a jump would survive.
func TestMotionIsContinuous(t *testing.T) {
	const (
		width = 1e-10 // rad
		jump  = 1e-3  // of the size; √width is a hundredth of it
	)
	apart := func(a *Assembly, p, q *Pose) float64 {
		most := 0.0
		for i := range a.Panels {
			f, g := &p.Panels[i], &q.Panels[i]
			most = max(most, f.Origin.Sub(g.Origin).Norm()/a.Design.Size(), f.X.Sub(g.X).Norm(), f.Y.Sub(g.Y).Norm())
		}
		for i := range a.Folds {
			most = max(most, math.Abs(math.Remainder(float64(p.FoldAngle(i)-q.FoldAngle(i)), 2*math.Pi)))
		}
		return most
	}
	rapid.Check(t, func(t *rapid.T) {
		a := drawDesign(t).compile(t)
		lo, hi := poseAt(a, drawOpening(t)), poseAt(a, drawOpening(t))
		if !lo.AllReached || !hi.AllReached {
			t.Skip("locked")
		}
		for math.Abs(float64(hi.Drive.Opening-lo.Drive.Opening)) > width {
			middle := a.NewPose()
			a.PoseInto(middle, Drive{Opening: (lo.Drive.Opening + hi.Drive.Opening) / 2})
			if !middle.AllReached {
				t.Skip("locked on the way")
			}
			if apart(a, lo, middle) > apart(a, middle, hi) {
				hi = middle
			} else {
				lo = middle
			}
		}
		if by := apart(a, lo, hi); by > jump {
			t.Fatalf("jumps by %g at %.9g degrees", by, lo.Drive.Opening.Degrees())
		}
	})
}

// Base lines square to the gutter form one line when the book is flat, and
// panels square to them may then stand at any slope: no pose may be made up.
func TestBaseLinesInOneLineAreSingular(t *testing.T) {
	a := assemble(t, `{"id":"jetty","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":90,"panel_angle":90,"base_length":40},"ridge_length":50}`)
	if got := poseAt(a, 180).Reach[0]; got != Singular {
		t.Errorf("open flat: %v, want Singular", got)
	}
	// Short of that the ridge lies along the gutter: it is square to both base
	// lines, which are square to the gutter.
	approx(t, "ridge along the gutter", ridgeDirection(a, pose(t, a, 179.99), "jetty.ridge").Y, -1, 1e-12)
}

// The panels of a strap stay parallel to the faces it stands on, as opposite
// sides of a parallelogram.
func TestStrapStaysParallel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e, _, _, _ := drawStrap(t, shut)
		e["id"], e["on"] = "gangway", entry{"fold": "gutter"}
		a := (&document{mechanisms: []entry{e}}).compile(t)
		p := poseAt(a, drawOpening(t))
		for side, across := range []int{pageRight, pageLeft} {
			if off := p.Panels[2+side].Y.Sub(p.Panels[across].Y).Norm(); !(off <= openTolerance) {
				t.Fatalf("panel %d is %g off parallel", side, off)
			}
		}
	})
}

// The same design gives the same bits, whatever the pose was used for before.
func TestPosesAreDeterministic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDesign(t)
		a, b := d.compile(t), d.compile(t)
		opening := drawOpening(t)
		fresh := poseAt(a, opening)
		used := poseAt(b, drawOpening(t))
		b.PoseInto(used, Drive{Opening: geom.Degrees(opening)})
		for i := range a.Panels {
			if fresh.Has(i) != used.Has(i) || fresh.Has(i) && fresh.Panels[i] != used.Panels[i] {
				t.Fatalf("%s differs between two runs", a.Panels[i].ID)
			}
		}
	})
}
