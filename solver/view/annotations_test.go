package view

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// points reads all the points of a path.
func points(t testing.TB, d string) (out []geom.Vec2) {
	t.Helper()
	numbers := pathNumber.FindAllString(d, -1)
	for i := 0; i+1 < len(numbers); i += 2 {
		x, errX := strconv.ParseFloat(numbers[i], 64)
		y, errY := strconv.ParseFloat(numbers[i+1], 64)
		if errX != nil || errY != nil {
			t.Fatal(errX, errY)
		}
		out = append(out, geom.Vec2{X: x, Y: y})
	}
	return out
}

// dimensionsIn gives the arrows of each dimension of a picture, and the texts.
func dimensionsIn(t testing.TB, svg string) (arrows map[string][]geom.Vec2, texts []string) {
	t.Helper()
	arrows = map[string][]geom.Vec2{}
	kind := ""
	for _, e := range parse(t, svg) {
		switch d := e.attrs["data-dimension"]; {
		case d != "":
			kind = d
			arrows[kind] = nil
		case e.name == "text":
			texts = append(texts, e.text)
		case kind != "" && e.name == "path" && e.attrs["fill"] != "none":
			arrows[kind] = points(t, e.attrs["d"])
		}
	}
	return arrows, texts
}

// The arrows of the height are as far apart as the height is, at the scale of
// the pages, and the figures are those of the pose.
func TestDimensionsMeasure(t *testing.T) {
	a := compile(t, harbour)
	for _, opening := range []float64{60, 110, 180} {
		svg := render(t, a, opening, Options{Camera: Camera{Viewpoint: Front}, Dimensions: Dimensions(), Width: 1000})
		arrows, texts := dimensionsIn(t, svg)
		height := posed(a, opening).Height()
		want := []string{fmt.Sprintf("%g mm", math.Round(height*10)/10), fmt.Sprintf("%g°", opening)}
		if fmt.Sprint(texts) != fmt.Sprint(want) {
			t.Errorf("at %g: %q, want %q", opening, texts, want)
		}
		// Seen from the front, the left page is as wide as 130 sin(t/2).
		low, high := math.Inf(1), math.Inf(-1)
		panel := ""
		for _, e := range parse(t, svg) {
			if id, ok := e.attrs["data-panel"]; ok {
				panel = id
			} else if e.name == "path" && panel == "page.left" {
				for _, p := range points(t, e.attrs["d"]) {
					low, high = min(low, p.X), max(high, p.X)
				}
			}
		}
		scale := (high - low) / (130 * math.Sin(radians(opening/2).Degrees()*math.Pi/180))
		tips := arrows["height"]
		if len(tips) != 6 {
			t.Fatalf("at %g: %d corners of arrows", opening, len(tips))
		}
		if got := tips[0].Sub(tips[3]).Norm(); math.Abs(got-height*scale) > 0.05 {
			t.Errorf("at %g: arrows %g px apart, want %g", opening, got, height*scale)
		}
		if tips[0].X != tips[3].X {
			t.Errorf("at %g: the height is not upright", opening)
		}
	}
}

// What cannot be read from a side is not drawn there, and what is not there not
// at all.
func TestDimensionsThatDoNotShow(t *testing.T) {
	height := func(a *kinematics.Assembly, opening float64) string {
		return fmt.Sprintf("%g mm", math.Round(posed(a, opening).Height()*10)/10)
	}
	long := compile(t, spread(`{"id":"mast","kind":"v_fold","on":{"fold":"gutter"},"at":150,"left":{"base_angle":40,"panel_angle":70,"base_length":60},"ridge_length":100}`))
	for _, c := range []struct {
		name      string
		a         *kinematics.Assembly
		viewpoint Viewpoint
		opening   float64
		want      []string
	}{
		{"a bare spread", compile(t, spread("")), Reader, 120, []string{"120°"}},
		{"from above, heights are points", compile(t, harbour), Top, 120, nil},
		{"from the side, the angle is a line", compile(t, harbour), Left, 110, []string{height(compile(t, harbour), 110)}},
		// Source: the base line ends at 150 + 60·cos 40° = 195.96 up the page.
		{"past the head, from the front", long, Front, 180, []string{height(long, 180), "180°"}},
		{"past the head, from the side", long, Right, 90, []string{height(long, 90), "16 mm"}},
	} {
		_, texts := dimensionsIn(t, render(t, c.a, c.opening, Options{Camera: Camera{Viewpoint: c.viewpoint}, Dimensions: Dimensions()}))
		if !slices.Equal(texts, c.want) {
			t.Errorf("%s: %q, want %q", c.name, texts, c.want)
		}
	}
}

// Shut, what reaches past the fore edge is measured from there. Source: the
// figure ends at 42.5 + 100 mm from the gutter, the page at 130.
func TestOverhangOfAShutBook(t *testing.T) {
	a := compile(t, spread(`{"id":"spar","kind":"figure","on":{"panel":"page.right"},"outline":"M0 0 H10 V100 H0 Z","place":{"u":60,"v":42.5}}`))
	arrows, texts := dimensionsIn(t, render(t, a, 0, Options{Camera: Camera{Viewpoint: Right}, Dimensions: []Dimension{OverhangDimension}}))
	if fmt.Sprint(texts) != "[12.5 mm]" || arrows["overhang"] == nil {
		t.Errorf("%v, want 12.5 mm", texts)
	}
}

func TestDimensionsInInches(t *testing.T) {
	a := compile(t, `{"units":"in","spread":{"page_width":5,"page_height":7},"mechanisms":[
	  {"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":1,"to":2,"left":{"base_offset":1.5,"panel_width":2.5}}]}`)
	_, texts := dimensionsIn(t, render(t, a, 180, Options{Dimensions: []Dimension{HeightDimension}}))
	// Source: Pythagoras, 2.5² - 1.5² = 2².
	if fmt.Sprint(texts) != "[2 in]" {
		t.Errorf("%v, want 2 in", texts)
	}
}

// Arrows that have no room between the extension lines point in from outside.
func TestNarrowDimensions(t *testing.T) {
	at := func(s float64) geom.Vec2 { return geom.Vec2{X: s} }
	m := placing{scale: 10, lines: 1}
	narrow := dimension{text: "1 mm", at: at, length: 1, outward: geom.Vec2{Y: 1}}
	p := narrow.place(&m)
	if tip, back := p.arrows[0][0], p.arrows[0][1]; tip.X != 0 || back.X >= 0 {
		t.Errorf("the arrow at the start runs from %v to %v", back, tip)
	}
	if middle := p.text.at.Y - toFoot*dimensionText; middle > -p.half.Y {
		t.Errorf("the figure is at %v, on the line", p.text.at)
	}
	wide := dimension{text: "90 mm", at: func(s float64) geom.Vec2 { return geom.Vec2{X: 90 * s} }, length: 90}
	if p := wide.place(&m); len(p.lines) != 2 || p.arrows[0][1].X <= 0 {
		t.Errorf("a wide dimension has %d pieces of line", len(p.lines))
	}
}

// Markers are at their places, in the shape of their severity, with their
// labels inside the picture.
func TestMarks(t *testing.T) {
	a := compile(t, harbour)
	var marks []Mark
	for i, s := range []Severity{Error, Warning, Note, ""} {
		for _, x := range []float64{-125, 0, 125} {
			marks = append(marks, Mark{geom.Vec3{X: x, Y: float64(60 * i)}, fmt.Sprintf("fault_%d", len(marks)), s})
		}
	}
	svg := render(t, a, 180, Options{Marks: marks, Camera: Camera{Viewpoint: Top}, Width: 800})
	elements := parse(t, svg)
	width, height := attr(t, elements[0], "width"), attr(t, elements[0], "height")
	var middles []geom.Vec2
	sort, texts := "", 0
	for _, e := range elements {
		if s := e.attrs["data-mark"]; s != "" {
			sort = s
		}
		if e.name == "path" && sort != "" && e.attrs["fill"] != "none" {
			outline := points(t, e.attrs["d"])
			if want := map[string]int{"error": 3, "warning": 4, "note": 12}[sort]; len(outline) != want {
				t.Errorf("%s: a marker of %d corners", sort, len(outline))
			}
			sum := geom.Vec2{}
			for _, p := range outline {
				sum = sum.Add(p.Mul(1 / float64(len(outline))))
			}
			middles = append(middles, sum)
		}
		if e.name == "text" {
			texts++
			if x, y := attr(t, e, "x"), attr(t, e, "y"); x < 0 || x+40 > width || y < labelSize || y > height {
				t.Errorf("%s at %g, %g", e.text, x, y)
			}
		}
	}
	if len(middles) != 12 || texts != 12 {
		t.Fatalf("%d markers, %d labels", len(middles), texts)
	}
	scale := middles[2].Sub(middles[0]).Norm() / 250
	for i, m := range marks {
		want := middles[1].Add(geom.Vec2{X: m.At.X * scale, Y: -m.At.Y * scale})
		if middles[i].Sub(want).Norm() > 0.05 {
			t.Errorf("mark %d at %v, want %v", i, middles[i], want)
		}
	}
}

func TestAnnotationsAreChecked(t *testing.T) {
	a := compile(t, spread(""))
	for _, c := range []struct {
		o    Options
		want string
	}{
		{Options{Dimensions: []Dimension{"depth"}}, "Dimensions"},
		{Options{Marks: []Mark{{Severity: "fatal"}}}, "Marks"},
		{Options{Marks: []Mark{{At: geom.Vec3{X: math.NaN()}}}}, "Marks"},
		{Options{Marks: make([]Mark, maxMarks+1)}, "Marks"},
	} {
		var fault *OptionError
		if err := Render(io.Discard, a, posed(a, 90), c.o); !errors.As(err, &fault) || fault.Option != c.want {
			t.Errorf("%v, want a fault of %s", err, c.want)
		}
	}
}

func TestGoldenAnnotations(t *testing.T) {
	a := compile(t, harbour)
	p := posed(a, 110)
	quay := a.PanelIndex("quay.left")
	var b bytes.Buffer
	if err := Render(&b, a, p, Options{
		Background: "#fff", Dimensions: Dimensions(),
		Marks: []Mark{
			{p.Panels[quay].At(a.Panels[quay].Outline[2]), "stack_too_thick", Warning},
			{geom.Vec3{Y: 100}, "panels_collide", Error},
		},
	}); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", "harbour_annotated.svg")
	if *update {
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("%s differs; look at the new picture and run with -update if it is right", path)
	}
}
