package kinematics

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// checkMeetings holds each meeting against a pose: what is shared is in one place, an
// edge on what it slides over, and what lies in a plane in one plane.
func checkMeetings(t rapid.TB, a *Assembly, p *Pose, meetings []Meeting) {
	t.Helper()
	size := a.Design.Size()
	for _, m := range meetings {
		first, second := m.Panels[0], m.Panels[1]
		if !p.Has(first) || !p.Has(second) {
			continue
		}
		one, two := &p.Panels[first], &p.Panels[second]
		off := 0.0
		for k := range 2 {
			at := one.At(m.Ends[0][k])
			switch m.Kind {
			case MeetInLine, MeetInPoint:
				off = max(off, at.Sub(two.At(m.Ends[1][k])).Norm()/size)
			case MeetWithEdge:
				z := two.Local(at).Z / size
				off = max(off, z, -z)
			case MeetInPlane:
				z := two.Local(one.Origin).Z / size
				off = max(off, z, -z, one.Normal().Cross(two.Normal()).Norm())
			}
		}
		if !(off <= openTolerance) {
			t.Fatalf("%s and %s are %g apart where they meet: %+v", a.Panels[first].ID, a.Panels[second].ID, off, m)
		}
	}
}

func TestPanelsMeetThroughout(t *testing.T) {
	openings := []float64{0, 0.01, 1, 30, 60, 90, 120, 150, 179, 180}
	forEveryKind(t, func(t *testing.T, a *Assembly, _ *design.KindInfo) {
		p := a.NewPose()
		for _, opening := range openings {
			a.PoseInto(p, Drive{Opening: geom.Degrees(opening), Hand: midway(a)})
			checkMeetings(t, a, p, a.Meetings())
		}
	})
	for _, draw := range []func(*rapid.T) *document{drawDesign, drawWild} {
		rapid.Check(t, func(t *rapid.T) {
			a := draw(t).compile(t)
			meetings := a.Meetings()
			p := a.NewPose()
			for _, opening := range openings {
				a.PoseInto(p, Drive{Opening: geom.Degrees(opening), Hand: midway(a)})
				checkMeetings(t, a, p, meetings)
			}
		})
	}
}

// Corners of a mechanism and of what it stands on that are in one place in all of
// several poses meet. Two mechanisms alike on one fold may coincide anywhere, and of one
// that goes over a ridge with equal sides the two panels lie on the host there.
func TestCornersThatStayTogetherMeet(t *testing.T) {
	// Above the rounding of poses, below the least difference drawn (1e-8 mm).
	const together = 1e-11
	corners := 0
	rapid.Check(t, func(t *rapid.T) {
		a := drawDesign(t).compile(t)
		meetings := a.Meetings()
		var poses []*Pose
		for _, opening := range []float64{13, 47, 81, 122, 167} {
			p := a.NewPose()
			a.PoseInto(p, Drive{Opening: geom.Degrees(opening), Hand: midway(a)})
			if !p.AllReached {
				t.Skip("locked")
			}
			poses = append(poses, p)
		}
		for one := range a.Panels {
			for two := one + 1; two < len(a.Panels); two++ {
				if m := a.Panels[two].Mechanism; m != Spread && a.Panels[one].Mechanism != m &&
					!slices.Contains(hostPanels(a, m), one) {
					continue
				}
				for _, u := range a.Panels[one].Outline {
					for _, v := range a.Panels[two].Outline {
						if slices.ContainsFunc(poses, func(p *Pose) bool {
							return p.Panels[one].At(u).Sub(p.Panels[two].At(v)).Norm() > together*a.Design.Size()
						}) {
							continue
						}
						corners++
						if !slices.ContainsFunc(meetings, func(m Meeting) bool {
							return m.Panels == [2]int{one, two} && (m.Kind == MeetInPlane ||
								geom.PointSegmentDistance(u, m.Ends[0][0], m.Ends[0][1]) <= together*a.Design.Size())
						}) {
							t.Fatalf("%v of %s and %v of %s stay together, and no meeting has them",
								u, a.Panels[one].ID, v, a.Panels[two].ID)
						}
					}
				}
			}
		}
	})
	if corners == 0 {
		t.Error("no corners stay together")
	}
}

// hostPanels are the panels beside the fold a mechanism stands on, or the one it is on;
// none where it goes over the top of a ridge.
func hostPanels(a *Assembly, mechanism int) []int {
	on := a.Design.Mechanisms[mechanism].On
	if on.Fold == "" {
		return []int{a.PanelIndex(on.Panel)}
	}
	f := &a.Folds[a.FoldIndex(on.Fold)]
	if f.Role == RidgeFold && on.Side == design.Outer || f.Role == ValleyFold && on.Side == design.Inner {
		return nil
	}
	return []int{f.Left.Panel, f.Right.Panel}
}

// What meets, by reasoning: panels beside a fold in a line; a V's panels with both faces
// of its fold in the apex, whichever side of it they are hinged on; corners of a box.
func TestWhatMeets(t *testing.T) {
	const v = `{"id":"hull","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":45,"panel_angle":70,"base_length":60},"ridge_length":80}`
	vMeets := []string{
		"page.left page.right line", "page.left hull.left line", "page.right hull.right line", "hull.left hull.right line",
		"page.left hull.right point", "page.right hull.left point",
	}
	for _, row := range []struct {
		name, mechanisms string
		want             []string
	}{
		{"V", v, vMeets},
		{"trimmed V", strings.Replace(v, `"ridge_length"`, `"apex_trim":5,"ridge_length"`, 1), vMeets[:4]},
		{"on a ridge", v + `,{"id":"mast","kind":"v_fold","on":{"fold":"hull.ridge","side":"outer"},"at":40,"left":{"base_angle":40,"panel_angle":80,"base_length":20},"ridge_length":30}`,
			append(slices.Clone(vMeets),
				"hull.left mast.left line", "hull.right mast.right line", "mast.left mast.right line",
				"hull.left mast.right point", "hull.right mast.left point")},
		{"on a base, at the apex", v + `,{"id":"port","kind":"v_fold","on":{"fold":"hull.left_base","side":"outer"},"at":0,"left":{"base_angle":45,"panel_angle":70,"base_length":20},"ridge_length":30}`,
			append(slices.Clone(vMeets),
				"page.left port.left line", "hull.left port.right line", "port.left port.right line",
				"page.left port.right point", "hull.left port.left point",
				"page.right port.left point", "page.right port.right point", "hull.right port.left point", "hull.right port.right point")},
		{"figure across a ridge", v + `,{"id":"lamp","kind":"figure","on":{"panel":"hull.left"},"outline":"M0 0 H40 V20 H0 Z","place":{"u":10,"v":30}}`,
			append(slices.Clone(vMeets), "hull.left lamp.figure plane", "hull.right lamp.figure line")},
		{"figure out to a ridge's end", v + `,{"id":"lamp","kind":"figure","on":{"panel":"hull.left"},"outline":"M0 0 L-10 -5 L-10 5 Z","place":{"u":0,"v":0}}`,
			append(slices.Clone(vMeets), "hull.left lamp.figure plane", "hull.right lamp.figure point", "page.left lamp.figure point", "page.right lamp.figure point")},
		{"wheels", `{"id":"helm","kind":"wheel","on":{"panel":"page.right"},"radius":20,"place":{"u":60,"v":60}},
			{"id":"rudder","kind":"wheel","on":{"panel":"page.right"},"radius":20,"place":{"u":160,"v":60}}`,
			[]string{"page.left page.right line", "page.right helm.disc plane", "page.right rudder.disc plane", "helm.disc rudder.disc plane"}},
		{"sliding tent", fmt.Sprintf(samples["slide_tent"], `"id":"tug","on":{"panel":"page.right"}`),
			[]string{"page.left page.right line", "page.right tug.near line", "tug.near tug.far line", "tug.far page.right edge"}},
		{"box", `{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":10,"to":80,"left_offset":20,"right_offset":30,"height":25,"lid":true}`,
			[]string{
				"page.left page.right line", "page.left crate.wall_left line", "page.right crate.wall_right line",
				"crate.wall_left crate.front_left line", "crate.wall_left crate.back_left line", "crate.wall_left crate.lid_left line",
				"crate.wall_right crate.front_right line", "crate.wall_right crate.back_right line", "crate.wall_right crate.lid_right line",
				"crate.front_left crate.front_right line", "crate.back_left crate.back_right line", "crate.lid_left crate.lid_right line",
				"page.left crate.front_left point", "page.left crate.back_left point", "page.right crate.front_right point", "page.right crate.back_right point",
				"crate.front_left crate.lid_left point", "crate.front_right crate.lid_right point",
				"crate.back_left crate.lid_left point", "crate.back_right crate.lid_right point",
			}},
	} {
		t.Run(row.name, func(t *testing.T) {
			a := assemble(t, row.mechanisms)
			kinds := map[MeetingKind]string{MeetInPlane: "plane", MeetInLine: "line", MeetInPoint: "point", MeetWithEdge: "edge"}
			var got []string
			for _, m := range a.Meetings() {
				got = append(got, fmt.Sprint(a.Panels[m.Panels[0]].ID, " ", a.Panels[m.Panels[1]].ID, " ", kinds[m.Kind]))
			}
			want := slices.Clone(row.want)
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("meet:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
		})
	}
}

func BenchmarkMeetings(b *testing.B) {
	a := Compile(crateDesign(b))
	for b.Loop() {
		a.Meetings()
	}
}
