package api

import (
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"

	"pgregory.net/rapid"
)

// The writer of poses must say what encoding/json would of the same solution,
// built here from the assembly by another way.
func TestSolutionWriterAgreesWithGeneratedType(t *testing.T) {
	for _, name := range designs.Names() {
		t.Run(name, func(t *testing.T) {
			doc := exampleDocument(t, name)
			openings := []float64{0, 0.25, 45, 90, 179.75, 180}
			body, err := (&Pipeline{}).Solve(t.Context(), doc, SolveOptions{Openings: openings})
			if err != nil {
				t.Fatal(err)
			}
			want, err := json.Marshal(plainSolution(doc, openings))
			if err != nil {
				t.Fatal(err)
			}
			var fromWriter, fromType any
			if err := json.Unmarshal(body, &fromWriter); err != nil {
				t.Fatalf("%v in %.200s", err, body)
			}
			if err := json.Unmarshal(want, &fromType); err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(fromWriter, fromType) {
				t.Errorf("writer and type differ:\n%.1000s\n%.1000s", body, want)
			}
			if strings.Contains(string(body), "-0,") || strings.Contains(string(body), "-0]") {
				t.Error("a minus zero was written")
			}
		})
	}
}

func exampleDocument(t testing.TB, name string) *Document {
	t.Helper()
	raw, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	doc, err := readDocument(raw, "")
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// plainSolution builds the generated type without regard for speed.
func plainSolution(doc *Document, openings []float64) Solution {
	a := kinematics.Compile(doc.Design)
	per := doc.Design.Units.PerUnit()
	point := func(p geom.Vec3) Point3 { return wirePoint(p, per) }
	mechanism := func(i int) *string {
		if i == kinematics.Spread {
			return nil
		}
		return &doc.Design.Mechanisms[i].ID
	}
	s := Solution{Units: Units(doc.Design.Units), DesignHash: doc.Hash, Panels: []Panel{}, Folds: []Fold{}, Strips: []Strip{}, Findings: []Finding{}, Drivers: []Driver{}, Linkages: []LinkageReport{}}
	resting := map[string]float64{}
	for _, d := range a.Drivers {
		unit, one := DriverUnitDeg, math.Pi/180
		if d.Quantity == design.Length {
			unit, one = DriverUnit(doc.Design.Units), per
		}
		s.Drivers = append(s.Drivers, Driver{
			Id: d.ID, Mechanism: *mechanism(d.Mechanism), Unit: unit,
			Min: round6(d.Min / one), Max: round6(d.Max / one), Rest: round6(d.Rest / one),
		})
		resting[d.ID] = round6(d.Rest / one)
	}
	for _, r := range a.Linkages() {
		s.Linkages = append(s.Linkages, LinkageReport{
			Mechanism: *mechanism(r.Mechanism), Solved: r.Solved, Freedom: r.Freedom, Redundancy: r.Redundancy, Residual: round6(r.Residual / per),
			Reach: Interval{From: round6(r.From.Degrees()), To: round6(r.To.Degrees())}, LocksShut: r.LocksShut, LocksOpen: r.LocksOpen, Closures: r.Closures,
		})
	}
	for _, p := range a.Panels {
		out := Panel{Id: p.ID, Mechanism: mechanism(p.Mechanism), Outline: []Point2{}}
		for _, v := range p.Outline {
			out.Outline = append(out.Outline, Point2{round6(v.X / per), round6(v.Y / per)})
		}
		s.Panels = append(s.Panels, out)
	}
	for _, f := range a.Folds {
		s.Folds = append(s.Folds, Fold{
			Id: f.ID, Mechanism: mechanism(f.Mechanism), Length: round6((f.Length - f.Start) / per),
			Panels:   []string{a.Panels[f.Panels[0]].ID, a.Panels[f.Panels[1]].ID},
			LeftFace: a.Panels[f.Left.Panel].ID, RightFace: a.Panels[f.Right.Panel].ID,
		})
	}
	for _, strip := range a.Strips {
		out := Strip{Id: strip.ID, Mechanism: *mechanism(strip.Mechanism), Width: round6(strip.Width / per)}
		if strip.Length > 0 {
			length, most := round6(strip.Length/per), round6(strip.Most/per)
			out.Length, out.Travel = &length, &most
			out.Pulls = &StripEnd{At: Point2{round6(strip.Pulls.Origin.X / per), round6(strip.Pulls.Origin.Y / per)}, Panel: a.Panels[strip.Pulls.Panel].ID}
			out.Anchor = &StripEnd{At: Point2{round6(strip.Anchor.Origin.X / per), round6(strip.Anchor.Origin.Y / per)}, Panel: a.Panels[strip.Anchor.Panel].ID}
			out.Gap = &StripGap{Panel: a.Panels[strip.Gap.Panel].ID, From: round6(strip.Gap.From / per), To: round6(strip.Gap.To / per), Rise: round6(strip.Gap.Rise / per)}
		}
		s.Strips = append(s.Strips, out)
	}
	p := a.NewPose()
	for _, opening := range openings {
		a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(opening)})
		pose := Pose{Opening: opening, Drivers: resting, Reachable: p.AllReached, Height: round6(p.Height() / per), Panels: []*[]Point3{}, Folds: []FoldPose{}, Strips: []StripPose{}}
		var locked []Unreachable
		for i, reach := range p.Reach {
			if reach != kinematics.Reached {
				locked = append(locked, Unreachable{Mechanism: *mechanism(i), Reason: reachReason(reach)})
			}
		}
		if locked != nil {
			pose.Unreachable = &locked
		}
		for i := range a.Panels {
			if !p.Has(i) {
				pose.Panels = append(pose.Panels, nil)
				continue
			}
			vertices := []Point3{}
			for _, v := range a.Panels[i].Outline {
				vertices = append(vertices, point(p.Panels[i].At(v)))
			}
			pose.Panels = append(pose.Panels, &vertices)
		}
		for i := range a.Folds {
			if p.HasFold(i) {
				ends := p.FoldEnds(i)
				pose.Folds = append(pose.Folds, FoldPose{Id: a.Folds[i].ID, Angle: round6(p.FoldAngle(i).Degrees()), Ends: []Point3{point(ends[0]), point(ends[1])}})
			}
		}
		for i := range a.Strips {
			if p.Reach[a.Strips[i].Mechanism] == kinematics.Reached {
				path := []Point3{}
				for _, v := range p.Strips[i].Path() {
					path = append(path, point(v))
				}
				pose.Strips = append(pose.Strips, StripPose{Id: a.Strips[i].ID, Travel: round6(p.Strips[i].Travel / per), Path: path})
			}
		}
		s.Poses = append(s.Poses, pose)
	}
	return s
}

// A number as written reads back as the number rounded to six decimals.
func TestNumbersReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.OneOf(
			rapid.Float64Range(-1e4, 1e4),
			rapid.Float64(),
			rapid.Map(rapid.IntRange(-1_000_000, 1_000_000), func(n int) float64 { return float64(n) / 2_000_000 }),
		).Draw(t, "v")
		dst := appendNumber(nil, v)
		if !finite(v) {
			if string(dst) != "0" || !math.IsNaN(v) && !math.IsInf(v, 0) {
				t.Fatalf("%v was written as %s", v, dst)
			}
			return
		}
		got, err := strconv.ParseFloat(string(dst), 64)
		if err != nil || !json.Valid(dst) {
			t.Fatalf("%v was written as %s: %v", v, dst, err)
		}
		want := v
		if math.Abs(v)*perWhole < exactly {
			want = math.Round(v*perWhole) / perWhole
		}
		if got != want {
			t.Fatalf("%v was written as %s", v, dst)
		}
	})
}

// A solver that fails numerically must not make an answer that looks right.
func TestSolutionWriterRefusesNaN(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		w := newSolutionWriter(kinematics.Compile(exampleDocument(t, "quay").Design), &hand{})
		w.point(geom.Vec3{Y: v})
		if _, err := w.end(nil); !errors.Is(err, errNotANumber) {
			t.Errorf("%v: %v", v, err)
		}
	}
}

func TestNumberForms(t *testing.T) {
	for _, row := range []struct {
		v    float64
		want string
	}{
		{0, "0"},
		{math.Copysign(0, -1), "0"}, // JSON has a minus zero, and nobody wants it
		{-0.0000004, "0"},
		{0.0000005, "0.000001"}, // half away from zero
		{-1.5, "-1.5"},
		{12.3456789, "12.345679"},
		{180, "180"},
		{0.1, "0.1"},
		{1e15, "1000000000000000"}, // no exponent
	} {
		if got := appendNumber(nil, row.v); string(got) != row.want {
			t.Errorf("%v is written %s, want %s", row.v, got, row.want)
		}
	}
}
