package pattern

import (
	"bytes"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Every part is in the drawing once, whole, inside the box and clear of the
// others.
func TestDrawingHoldsEveryPartApart(t *testing.T) {
	everyDesign(t, func(t rapid.TB, a *kinematics.Assembly, p *Pattern) {
		d := p.Drawing("Harbour")
		if len(d.Parts) != len(p.Parts) {
			t.Fatalf("%d parts drawn of %d", len(d.Parts), len(p.Parts))
		}
		boxes := make([]geom.Box2, len(d.Parts))
		for i := range d.Parts {
			if d.Parts[i].ID != p.Parts[i].ID {
				t.Errorf("part %d is %s, want %s", i, d.Parts[i].ID, p.Parts[i].ID)
			}
			e := p.Parts[i].extent()
			boxes[i] = geom.Box2{Min: d.Parts[i].Place.Apply(e.Min), Max: d.Parts[i].Place.Apply(e.Max)}
			if !d.Box.Contains(boxes[i].Min) || !d.Box.Contains(boxes[i].Max) {
				t.Errorf("%s lies outside the drawing", p.Parts[i].ID)
			}
			spacing := DefaultOptions().PartSpacing - 1e-9
			for j := range i {
				if boxes[j].Grow(spacing).Overlaps(boxes[i]) {
					t.Errorf("%s and %s are closer than %g mm", p.Parts[j].ID, p.Parts[i].ID, spacing)
				}
			}
		}
	})
}

// A step may be cut past the end of the page: the picture shows that it is.
func TestDrawingHoldsCutsPastThePaper(t *testing.T) {
	a := assembly(t, `{"spread":{"page_width":60,"page_height":80},"mechanisms":[{"id":"stair","kind":"cut_v","on":{"fold":"gutter"},"at":70,"left":{"base_angle":40,"base_length":55},"ridge_length":60}]}`)
	p := mustMake(t, a, DefaultOptions())
	page := p.Part("page")
	if page.Cuts.Bounds().Max.Y <= page.Bounds().Max.Y {
		t.Fatal("the cut does not leave the paper")
	}
	d := p.Drawing("")
	for _, m := range d.Parts[0].Marks {
		box := m.Path.Transform(d.Parts[0].Place).Bounds()
		if !d.Box.Contains(box.Min) || !d.Box.Contains(box.Max) {
			t.Errorf("%s lies outside the drawing: %+v in %+v", m.ID, box, d.Box)
		}
	}
}

// What is drawn with an operation is what the pattern measures.
func TestDrawingKeepsTheMeasures(t *testing.T) {
	_, p := cleanPattern(t, harbour)
	for i := range p.Parts {
		part := &p.Parts[i]
		length := map[draw.Operation]float64{}
		glue := 0.0
		for _, m := range part.Drawing().Marks {
			length[m.Op] += m.Path.Length()
			if m.Op == draw.Glue {
				glue += m.Path.Area()
			}
		}
		approx(t, "cut of "+part.ID, length[draw.Cut], part.CutLength(), 1e-9)
		approx(t, "score of "+part.ID, length[draw.ScoreMountain]+length[draw.ScoreValley], part.CreaseLength(), 1e-9)
		front := 0.0
		for _, g := range part.Glue {
			if !g.OnBack {
				front += g.Path.Area()
			}
		}
		approx(t, "glue of "+part.ID, glue, front, 1e-9)
	}
}

func TestDrawingIsWrittenTheSameTwice(t *testing.T) {
	var files [2]bytes.Buffer
	for i := range files {
		_, p := cleanPattern(t, harbour)
		if err := draw.WriteSVG(&files[i], p.Drawing("Harbour morning"), draw.SVGOptions{}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
		t.Error("the same design gave two files")
	}
	for _, want := range []string{`id="lighthouse-cut-outline"`, `id="page-score_valley-gutter"`, `id="lighthouse-score_mountain-lighthouse.ridge"`, `id="page-cut-slot-E"`, `>lighthouse<`} {
		if !strings.Contains(files[0].String(), want) {
			t.Errorf("no %s in the file", want)
		}
	}
}
