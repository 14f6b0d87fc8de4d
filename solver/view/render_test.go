package view

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

func render(t rapid.TB, a *kinematics.Assembly, opening float64, o Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := Render(&b, a, posed(a, opening), o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// element is an element of a parsed picture.
type element struct {
	name  string
	attrs map[string]string
	text  string
}

// parse reads a picture back as XML, in document order.
func parse(t rapid.TB, svg string) []element {
	t.Helper()
	var out []element
	var open []int
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
		switch x := token.(type) {
		case xml.StartElement:
			e := element{name: x.Name.Local, attrs: map[string]string{}}
			for _, a := range x.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			open = append(open, len(out))
			out = append(out, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				out[open[len(open)-1]].text += string(x)
			}
		}
	}
}

func attr(t rapid.TB, e element, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(e.attrs[name], 64)
	if err != nil {
		t.Fatalf("%s of %s: %v", name, e.name, err)
	}
	return v
}

var pathNumber = regexp.MustCompile(`-?\d+(\.\d+)?`)

// Any design from any side gives a well-formed picture: finite numbers inside
// the frame, the width asked for, each panel painted, and the same bytes again.
func TestPicturesAreSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawDesign(t)
		opening := drawOpening(t)
		o := Options{
			Width: rapid.IntRange(MinWidth, 1200).Draw(t, "width"), Camera: drawCamera(t),
			Shadow: rapid.Bool().Draw(t, "shadow"), Labels: rapid.Bool().Draw(t, "labels"),
		}
		svg := render(t, a, opening, o)
		if svg != render(t, a, opening, o) {
			t.Fatal("the same picture has different bytes the second time")
		}
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
			t.Fatal("not every number is finite")
		}
		elements := parse(t, svg)
		width, height := attr(t, elements[0], "width"), attr(t, elements[0], "height")
		if width != float64(o.Width) || height < 1 {
			t.Fatalf("the picture is %g by %g px, want %d wide", width, height, o.Width)
		}
		panels := map[string]bool{}
		clip := false
		for _, e := range elements {
			if id, ok := e.attrs["data-panel"]; ok {
				panels[id] = true
			}
			clip = clip || e.name == "clipPath"
			if e.name != "path" || clip { // shadows are clipped to the page and may run out of the frame
				if e.name == "path" && e.attrs["stroke"] != "" {
					clip = false
				}
				continue
			}
			for i, s := range pathNumber.FindAllString(e.attrs["d"], -1) {
				v, err := strconv.ParseFloat(s, 64)
				if err != nil {
					t.Fatal(err)
				}
				if most := [2]float64{width, height}[i%2]; v < -0.01 || v > most+0.01 {
					t.Fatalf("%g is outside the %g by %g px of the picture", v, width, height)
				}
			}
		}
		p := posed(a, opening)
		for i := range a.Panels {
			if panels[a.Panels[i].ID] != p.Has(i) {
				t.Fatalf("%s painted: %t, posed: %t", a.Panels[i].ID, panels[a.Panels[i].ID], p.Has(i))
			}
		}
	})
}

// The area of each panel in the picture is that of its outline times the
// squared scale and the cosine of the slope to the eye, when seen in parallel:
// splits and formatting lose nothing. The scale is read off the pages, which
// are seen face on.
func TestPicturesKeepAreas(t *testing.T) {
	a := compile(t, harbour)
	svg := render(t, a, 180, Options{Camera: Camera{Viewpoint: Top}, Width: 1000})
	p := posed(a, 180)
	painted := map[string]float64{}
	panel := ""
	for _, e := range parse(t, svg) {
		if id, ok := e.attrs["data-panel"]; ok {
			panel = id
		} else if e.name == "path" && e.attrs["fill"] != "none" {
			painted[panel] += pathArea(t, e.attrs["d"])
		}
	}
	scale2 := painted["page.left"] / a.Panels[0].Shape.Area()
	for i := range a.Panels {
		n := p.Panels[i].Normal()
		want := math.Abs(a.Panels[i].Shape.Area()*n.Z) * math.Abs(scale2)
		// Coordinates are rounded to 0.005 px along at most 500 px of outline,
		// and curves flattened to 0.15 px.
		if got := math.Abs(painted[a.Panels[i].ID]); math.Abs(got-want) > 5 {
			t.Errorf("%s: %.6g px² painted, want %.6g", a.Panels[i].ID, got, want)
		}
	}
}

// pathArea is the signed area of the rings of a path of M, L and Z.
func pathArea(t testing.TB, d string) float64 {
	t.Helper()
	sum := 0.0
	for ring := range strings.SplitSeq(strings.TrimSuffix(d, "Z"), "Z") {
		numbers := pathNumber.FindAllString(ring, -1)
		points := make([]geom.Vec2, len(numbers)/2)
		for i := range points {
			x, errX := strconv.ParseFloat(numbers[2*i], 64)
			y, errY := strconv.ParseFloat(numbers[2*i+1], 64)
			if errX != nil || errY != nil {
				t.Fatal(errX, errY)
			}
			points[i] = geom.Vec2{X: x, Y: y}
		}
		sum += geom.PolygonArea(points)
	}
	return sum
}

func TestGoldenPicture(t *testing.T) {
	got := render(t, compile(t, harbour), 110, Options{Shadow: true, Labels: true, Background: "#ffffff"})
	path := filepath.Join("testdata", "harbour.svg")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; look at the new picture and run with -update if it is right", path)
	}
}

// A design of eight mechanisms makes a picture a shop page can carry inline.
func TestPicturesAreSmall(t *testing.T) {
	a := compile(t, harbour)
	for _, v := range Viewpoints() {
		for opening := 0.0; opening <= 180; opening += 10 {
			svg := render(t, a, opening, Options{Camera: Camera{Viewpoint: v}, Shadow: true, Labels: true})
			if len(svg) > 200_000 {
				t.Errorf("%s at %g degrees: %d bytes", v, opening, len(svg))
			}
		}
	}
}

func TestOptionsAreChecked(t *testing.T) {
	a := compile(t, spread(""))
	for _, c := range []struct {
		o    Options
		want string
	}{
		{Options{Width: MinWidth - 1}, "Width"},
		{Options{Width: MaxWidth + 1}, "Width"},
		{Options{Background: "teal"}, "Background"},
		{Options{Background: `#fff"/><script`}, "Background"},
		{Options{IDPrefix: "a b"}, "IDPrefix"},
		{Options{IDPrefix: "7th"}, "IDPrefix"},
		{Options{Camera: Camera{Viewpoint: "crow"}}, "Camera.Viewpoint"},
		{Options{Camera: Camera{Projection: "fish"}}, "Camera.Projection"},
		{Options{Camera: Camera{Viewpoint: Free, Azimuth: geom.Angle(math.Inf(1))}}, "Camera.Azimuth"},
		{Options{Camera: Camera{Viewpoint: Free, Elevation: radians(91)}}, "Camera.Elevation"},
		{Options{Camera: Camera{Viewpoint: Free, Elevation: geom.Angle(math.NaN())}}, "Camera.Elevation"},
		{Options{Camera: Camera{Distance: -1}}, "Camera.Distance"},
		{Options{Camera: Camera{Distance: math.NaN()}}, "Camera.Distance"},
	} {
		var fault *OptionError
		var b bytes.Buffer
		err := Render(&b, a, posed(a, 90), c.o)
		if !errors.As(err, &fault) || fault.Option != c.want {
			t.Errorf("%+v: %v, want a fault of %s", c.o, err, c.want)
		}
		if b.Len() > 0 {
			t.Errorf("%+v: written in spite of the fault", c.o)
		}
	}
}

type brokenWriter struct{}

var errFull = errors.New("full")

func (brokenWriter) Write([]byte) (int, error) { return 0, errFull }

func TestWriteErrorsAreReported(t *testing.T) {
	a := compile(t, spread(""))
	if err := Render(brokenWriter{}, a, posed(a, 90), Options{}); !errors.Is(err, errFull) {
		t.Errorf("Render: %v", err)
	}
	if err := Strip(brokenWriter{}, a, []geom.Angle{1}, Options{}); !errors.Is(err, errFull) {
		t.Errorf("Strip: %v", err)
	}
	if err := Diagram(brokenWriter{}, a, 1, Options{}); !errors.Is(err, errFull) {
		t.Errorf("Diagram: %v", err)
	}
}

// Titles come from clients and end up in pages.
func TestTitlesAreEscaped(t *testing.T) {
	d := compile(t, spread(""))
	d.Design.Title = "Gulls <b>&\x01\"quay\""
	svg := render(t, d, 90, Options{})
	want := "Gulls <b>&\uFFFD\"quay\", opened to 90°"
	if got := parse(t, svg)[1].text; got != want {
		t.Errorf("title %q, want %q", got, want)
	}
}

func TestNumbersAreShort(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{
		{0, "0"}, {-0.001, "0"}, {0.005, "0.01"}, {12, "12"}, {12.5, "12.5"}, {-3.14159, "-3.14"}, {0.07, "0.07"}, {-100.999, "-101"},
	} {
		k := &canvas{}
		k.number(c.v)
		if got := string(k.b); got != c.want {
			t.Errorf("%v is written %s, want %s", c.v, got, c.want)
		}
	}
}

// Every mechanism in sight is named once, inside the picture; a hidden one is
// not.
func TestLabels(t *testing.T) {
	a := compile(t, harbour)
	names := func(opening float64, v Viewpoint) string {
		var found []string
		for _, e := range parse(t, render(t, a, opening, Options{Labels: true, Camera: Camera{Viewpoint: v}})) {
			if e.name == "text" {
				found = append(found, e.text)
			}
		}
		return strings.Join(found, " ")
	}
	if got, want := names(140, Reader), "lighthouse quay gull tower lamp crane buoy mooring"; got != want {
		t.Errorf("open: %s, want %s", got, want)
	}
	if got := names(0, Iso); got != "" {
		t.Errorf("shut: %s, want none", got)
	}
}

// The pictures of a strip are of one size: the pages, seen from the left, are
// as tall in each.
func TestStripHasOneScale(t *testing.T) {
	a := compile(t, harbour)
	openings := []geom.Angle{0, radians(60), radians(180)}
	var b bytes.Buffer
	if err := Strip(&b, a, openings, Options{Width: 900, Camera: Camera{Viewpoint: Top}, Shadow: true}); err != nil {
		t.Fatal(err)
	}
	var captions []string
	var heights []float64
	ids := map[string]bool{}
	panel := ""
	for _, e := range parse(t, b.String()) {
		if id := e.attrs["id"]; id != "" {
			if ids[id] {
				t.Errorf("the id %s is used twice", id)
			}
			ids[id] = true
		}
		if id, ok := e.attrs["data-panel"]; ok {
			panel = id
		}
		if e.name == "text" {
			captions = append(captions, e.text)
		}
		if panel == "page.left" && e.name == "path" && e.attrs["fill"] != "none" {
			low, high := math.Inf(1), math.Inf(-1)
			for i, s := range pathNumber.FindAllString(e.attrs["d"], -1) {
				if v, err := strconv.ParseFloat(s, 64); err == nil && i%2 == 1 {
					low, high = min(low, v), max(high, v)
				}
			}
			heights = append(heights, high-low)
			panel = ""
		}
	}
	if got, want := strings.Join(captions, " "), "0° 60° 180°"; got != want {
		t.Errorf("captions %s, want %s", got, want)
	}
	if len(heights) != 3 || math.Abs(heights[0]-heights[1]) > 0.02 || math.Abs(heights[1]-heights[2]) > 0.02 {
		t.Errorf("the left page is %v px tall in the three pictures", heights)
	}
	for _, wrong := range [][]geom.Angle{nil, make([]geom.Angle, maxFrames+1), {geom.Angle(math.NaN())}} {
		var fault *OptionError
		if err := Strip(io.Discard, a, wrong, Options{}); !errors.As(err, &fault) {
			t.Errorf("%d openings: %v", len(wrong), err)
		}
	}
}

func TestDiagramIsSmallAndWithoutNames(t *testing.T) {
	var b bytes.Buffer
	if err := Diagram(&b, compile(t, harbour), radians(120), Options{Labels: true}); err != nil {
		t.Fatal(err)
	}
	elements := parse(t, b.String())
	if w := attr(t, elements[0], "width"); w != DiagramWidth {
		t.Errorf("%g px wide", w)
	}
	for _, e := range elements {
		if e.name == "text" {
			t.Errorf("the name %s is written", e.text)
		}
	}
}
