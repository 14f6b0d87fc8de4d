package stack

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	"foldwright/testdata/designs"
)

func approx(t rapid.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.9g, want %.9g", what, got, want)
	}
}

const tent = `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":40,"to":100,"left":{"base_offset":30,"panel_width":40},"joint":{"tab_side":%q,"tab_depth":10}}`

// Piles counted by hand. Paper of 0.3 mm springs back to 1.2 times as much, a
// film is 0.1 mm.
func TestPilesCountedByHand(t *testing.T) {
	lamp := `,{"id":"lamp","kind":"figure","on":{"panel":"quay.left"},"outline":"M0 0 H20 V20 H0 Z","place":{"u":20,"v":15}}`
	for _, c := range []struct {
		name, mechanisms string
		layers, films    int
		pieces           []string
	}{
		{"a bare spread", "", 2, 0, []string{"page.left", "page.right"}},
		// Outside the base lines: two pages, the tabs under two panels.
		{"a tent, tabs outside", fmt.Sprintf(tent, "outer"), 6, 2,
			[]string{"page.left", "quay.left_base", "quay.left", "quay.right", "quay.right_base", "page.right"}},
		// Tabs and panels lie side by side: four layers either way, two films on the tabs.
		{"a tent, tabs inside", fmt.Sprintf(tent, "inner"), 4, 2,
			[]string{"page.left", "quay.left_base", "quay.right_base", "page.right"}},
		// The figure is outside the tent, between the left panel and its page.
		{"a tent with a figure", fmt.Sprintf(tent, "inner") + lamp, 5, 1,
			[]string{"page.left", "lamp.figure", "quay.left", "quay.right", "page.right"}},
		// A disc lies behind its page.
		{"a disc", `{"id":"tide","kind":"wheel","on":{"panel":"page.left"},"radius":20,"place":{"u":90,"v":50},"pivot_hole":1}`, 3, 0,
			[]string{"tide.disc", "page.left", "page.right"}},
	} {
		_, r := judged(t, []byte(`{"paper":{"caliper":0.3,"springback":1.2,"glue_film":0.1},"spread":{"page_width":130,"page_height":180},"mechanisms":[`+c.mechanisms+`]}`), Options{})
		if r.Thickest.Layers != c.layers || r.Thickest.Films != c.films {
			t.Errorf("%s: %d layers and %d films, want %d and %d", c.name, r.Thickest.Layers, r.Thickest.Films, c.layers, c.films)
		}
		approx(t, c.name, r.Thickest.Thickness, float64(c.layers)*0.3*1.2+float64(c.films)*0.1, 1e-12)
		var names []string
		for _, i := range r.Thickest.Pieces {
			names = append(names, r.Pieces[i].ID)
		}
		if fmt.Sprint(names) != fmt.Sprint(c.pieces) {
			t.Errorf("%s: %v, want %v", c.name, names, c.pieces)
		}
		if len(r.Faults) > 0 {
			t.Errorf("%s: %+v", c.name, r.Faults)
		}
	}
}

// A strip of paper folded in n has n layers at the least and at the most: the
// generations example, whose nine tents lie in one another, counts two panels
// each between the pages where all of them are.
func TestGenerationsPile(t *testing.T) {
	document, _ := designs.Read("generations")
	a, r := judged(t, document, Options{})
	if want := 2 + 2*len(a.Design.Mechanisms); r.Thickest.Layers != want {
		t.Errorf("%d layers, want %d", r.Thickest.Layers, want)
	}
}

// counter counts the paper and the films at a place of the shut page from the
// panels' outlines and the pattern, without what the package makes of them.
type counter struct {
	a    *kinematics.Assembly
	p    *pattern.Pattern
	pose *kinematics.Pose
	// shapes are the panels less their openings; marks the glued areas in the
	// coordinates of their parts.
	shapes [][][]geom.Vec2
}

func (c *counter) at(place geom.Vec2) (layers, films int) {
	for i := range c.a.Panels {
		local := c.pose.Panels[i].Local(world(place))
		if geom.RingsContain(c.shapes[i], geom.Vec2{X: local.X, Y: local.Y}) {
			layers++
		}
	}
	joints := map[string]*pattern.Joint{}
	for i := range c.p.Joints {
		joints[c.p.Joints[i].ID] = &c.p.Joints[i]
	}
	for i := range c.p.Parts {
		part := &c.p.Parts[i]
		for _, g := range part.Glue {
			if g.Tab {
				continue
			}
			// A mark is on the panel of its part that its fold is on.
			for _, on := range part.Panels {
				fold := c.a.FoldIndex(g.Joint)
				if fold >= 0 && c.a.Folds[fold].Panels[0] != on.Panel {
					continue
				}
				local := c.pose.Panels[on.Panel].Local(world(place))
				q := geom.Vec2{X: local.X, Y: local.Y}
				if fold < 0 && !geom.RingsContain(c.shapes[on.Panel], q) {
					continue
				}
				if geom.RingsContain(g.Path.Flatten(OutlineTolerance), on.Place.Apply(q)) {
					films++
					if joints[g.Joint].Length > 0 {
						layers++
					}
					break
				}
			}
		}
	}
	return layers, films
}

// The map agrees with counting at random places.
func TestMapAgreesWithCounting(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	// Without hubs and guides, which are taken to cover what is between their ends.
	for _, name := range []string{"harbour", "crate", "deck", "generations", "lighthouse", "pontoon", "quay", "shed", "steps", "gull", "sail", "hatch"} {
		document, _ := designs.Read(name)
		a, p := assembly(t, document)
		r, err := Judge(a, p, Options{Map: true})
		if err != nil {
			t.Fatal(err)
		}
		c := counter{a: a, p: p, pose: a.NewPose()}
		a.PoseInto(c.pose, kinematics.Drive{})
		for i := range a.Panels {
			c.shapes = append(c.shapes, append(geom.Path{}, a.Panels[i].Shape...).Flatten(OutlineTolerance))
			c.shapes[i] = append(c.shapes[i], a.Panels[i].Openings.Flatten(OutlineTolerance)...)
		}
		regions := make([][][]geom.Vec2, len(r.Map))
		for i := range r.Map {
			regions[i] = r.Map[i].Area.Flatten(OutlineTolerance)
		}
		agree, most := 0, 0
		const places = 4000
		for range places {
			at := geom.Vec2{X: 130 * random.Float64(), Y: 180 * random.Float64()}
			layers, films := c.at(at)
			most = max(most, layers)
			found := Pile{}
			for i := range regions {
				if geom.RingsContain(regions[i], at) {
					found = r.Map[i].Pile
				}
			}
			if found.Layers == layers && found.Films == films {
				agree++
			}
		}
		// Curves are chords in the map: a few places fall between.
		if agree < places-5 {
			t.Errorf("%s: %d of %d places agree", name, agree, places)
		}
		if most > r.Thickest.Layers+1 {
			t.Errorf("%s: %d layers counted, %d found", name, most, r.Thickest.Layers)
		}
	}
}

// No paper is lost: what the regions hold together is the area of all pieces,
// and of all glued areas.
func TestMapKeepsThePaper(t *testing.T) {
	everyDesign(t, func(t rapid.TB, document []byte) {
		a, p := assembly(t, document)
		s := newStack(a, p, Options{Map: true})
		r, err := s.judgeAll()
		if err != nil {
			t.Fatal(err)
		}
		if !r.Exact {
			t.Fatal("not exact")
		}
		var paper, films, wantPaper, wantFilms float64
		for _, region := range r.Map {
			paper += float64(region.Layers) * region.Area.Area()
			films += float64(region.Films) * region.Area.Area()
		}
		for i := range s.pieces {
			for _, part := range s.pieces[i].parts {
				wantPaper += geom.PolygonArea(part)
			}
		}
		for i := range s.glue {
			for _, part := range s.glue[i].parts {
				wantFilms += geom.PolygonArea(part)
			}
		}
		// Slivers thinner than two micrometres are left out.
		approx(t, "paper", paper, wantPaper, 1e-4*wantPaper)
		approx(t, "glue", films, wantFilms, 1e-4*wantPaper)
	})
}

// Lines across the page find what the exact map has.
func TestRowsAgreeWithTheMap(t *testing.T) {
	document, _ := designs.Read("harbour")
	a, p := assembly(t, document)
	s := newStack(a, p, Options{Map: true})
	r, err := s.judgeAll()
	if err != nil {
		t.Fatal(err)
	}
	area := func(regions []Region) map[[2]int]float64 {
		out := map[[2]int]float64{}
		for _, region := range regions {
			out[[2]int{region.Layers, region.Films}] += region.Area.Area()
		}
		return out
	}
	exact, rows := area(r.Map), area(s.rows())
	for pile, want := range exact {
		approx(t, fmt.Sprint("area of ", pile), rows[pile], want, 60)
	}
}

// A crowded spread is still answered, and says what it could not look at.
func TestCrowdedSpread(t *testing.T) {
	_, r := judged(t, []byte(full["crates"]), Options{})
	if r.Complete || r.Exact || r.Sequence != nil || r.Thickest.Layers < 500 {
		t.Errorf("complete %t, exact %t, %d layers", r.Complete, r.Exact, r.Thickest.Layers)
	}
	undecided := false
	for _, f := range r.Faults {
		undecided = undecided || f.Kind == NotDecided
	}
	if !undecided {
		t.Error("nothing says that not all was looked at")
	}
}

func TestStops(t *testing.T) {
	a, p := assembly(t, []byte(full["crates"]))
	calls := 0
	_, err := Judge(a, p, Options{Stop: func() bool { calls++; return calls > 3 }})
	if err != ErrStopped {
		t.Errorf("%v", err)
	}
}
