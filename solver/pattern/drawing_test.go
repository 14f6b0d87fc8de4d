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
		if len(d.Parts) != len(p.Parts)+1 {
			t.Fatalf("%d parts drawn of %d and the legend", len(d.Parts), len(p.Parts))
		}
		legend := drawnBox(&d.Parts[len(p.Parts)])
		if !d.Box.Contains(legend.Min) || !d.Box.Contains(legend.Max) {
			t.Errorf("the legend at %+v lies outside the drawing, %+v", legend, d.Box)
		}
		boxes := make([]geom.Box2, len(p.Parts))
		for i := range p.Parts {
			if d.Parts[i].ID != p.Parts[i].ID {
				t.Errorf("part %d is %s, want %s", i, d.Parts[i].ID, p.Parts[i].ID)
			}
			e := p.Parts[i].extent()
			boxes[i] = geom.Box2{Min: d.Parts[i].Place.Apply(e.Min), Max: d.Parts[i].Place.Apply(e.Max)}
			if !d.Box.Contains(boxes[i].Min) || !d.Box.Contains(boxes[i].Max) {
				t.Errorf("%s lies outside the drawing", p.Parts[i].ID)
			}
			spacing := DefaultOptions().PartSpacing - 1e-9
			if boxes[i].Grow(spacing).Overlaps(legend) {
				t.Errorf("%s is closer than %g mm to the legend", p.Parts[i].ID, spacing)
			}
			for j := range i {
				if boxes[j].Grow(spacing).Overlaps(boxes[i]) {
					t.Errorf("%s and %s are closer than %g mm", p.Parts[j].ID, p.Parts[i].ID, spacing)
				}
			}
		}
	})
}

// drawnBox is the box around the marks and words of a part as placed, words
// upright and from their start.
func drawnBox(part *draw.Part) geom.Box2 {
	box := geom.EmptyBox()
	for _, m := range part.Marks {
		box = box.Union(m.Path.Transform(part.Place).Bounds())
	}
	for _, w := range part.Texts {
		at := part.Place.Apply(w.At)
		box = box.Extend(at).Extend(at.Add(geom.Vec2{X: TextWidth(w.S, w.Height), Y: w.Height}))
	}
	return box
}

// The legend is lettering, which no machine cuts or scores, and has a sample as
// the creases are drawn of each line it explains. On a narrow drawing it takes
// more lines.
func TestLegend(t *testing.T) {
	p := &Pattern{height: 12}
	wide, wideSize := p.legend(1000)
	narrow, narrowSize := p.legend(60)
	if len(wide.Texts) != 5 || len(narrow.Texts) != 5 {
		t.Fatalf("%d and %d entries, want 5", len(wide.Texts), len(narrow.Texts))
	}
	if wideSize.Y != legendHigh || narrowSize.Y <= wideSize.Y || narrowSize.X > 60 {
		t.Errorf("sizes %v and %v", wideSize, narrowSize)
	}
	styles := draw.DefaultStyles()
	for _, part := range []draw.Part{wide, narrow} {
		for _, m := range part.Marks {
			if m.Op != draw.Label || m.Fill {
				t.Errorf("%s is marked %v", m.ID, m.Op)
			}
			var want []float64
			switch m.ID {
			case "mountain":
				want = styles[draw.ScoreMountain].Dash
			case "valley":
				want = styles[draw.ScoreValley].Dash
			case "cut":
				want = []float64{legendSample}
			default:
				continue
			}
			approx(t, m.ID, m.Path[:1].Length(), want[0], 1e-9)
			if len(want) > 1 {
				approx(t, "gap in "+m.ID, m.Path[1].Start.X-m.Path[0].End().X, want[1], 1e-9)
			}
		}
	}
	// The hatching stays in its frame, rising at 45 degrees.
	area := swatch(legendSwatch, legendHigh)
	frame := area[:1].Bounds()
	for i := 1; i < len(area); i++ {
		d := area[i].End().Sub(area[i].Start)
		approx(t, "slope of the hatching", d.Y, d.X, 1e-9)
		if b := area[i : i+1].Bounds(); !frame.Grow(1e-9).Contains(b.Min) || !frame.Grow(1e-9).Contains(b.Max) || d.Norm() == 0 {
			t.Errorf("line %d of the hatching runs %v", i, b)
		}
	}
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
