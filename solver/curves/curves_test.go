package curves

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"flag"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
	"foldwright/testdata/designs"
)

var update = flag.Bool("update", false, "write the golden plots anew")

func compile(t rapid.TB, document string) *kinematics.Assembly {
	t.Helper()
	d, err := design.Decode([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

func spread(mechanisms string) string {
	return `{"spread":{"page_width":130,"page_height":180},"mechanisms":[` + mechanisms + `]}`
}

const (
	quay = `{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":80,"left":{"base_offset":30,"panel_width":50}}`
	tent = `{"id":"sail","kind":"slide_tent","on":{"panel":"page.right"},"from":60,"to":110,"fixed_offset":20,"near_width":30,"far_width":35,"travel":30,"strip":{"width":14}}`
	bow  = `{"id":"bow","kind":"v_fold","on":{"fold":"gutter"},"at":40,"left":{"base_angle":70,"panel_angle":40,"base_length":50},"ridge_length":60}`
)

func example(t testing.TB, name string) *kinematics.Assembly {
	t.Helper()
	document, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	return compile(t, string(document))
}

func sweep(from, to float64, steps int) []geom.Angle {
	out := make([]geom.Angle, steps+1)
	for i := range out {
		out[i] = geom.Degrees(from + (to-from)*float64(i)/float64(steps))
	}
	return out
}

// take samples the measures of the ids.
func take(t testing.TB, a *kinematics.Assembly, openings []geom.Angle, ids ...string) *Table {
	t.Helper()
	wanted := make([]measure.Measure, len(ids))
	for i, id := range ids {
		m, ok := measure.Find(a, id)
		if !ok {
			t.Fatalf("no measure %s", id)
		}
		wanted[i] = m
	}
	table, err := Sample(a, openings, wanted)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// Sources: a page at opening t is (180-t)/2 degrees from the table. A tent of
// sides 50 on points 30 from the gutter, seen along it: the points are 30·sin(t/2)
// from the middle and 30·cos(t/2) up, and the ridge √(50² - (30·sin(t/2))²)
// higher; its panels slope by acos(30·sin(t/2)/50) to the table, and to the page
// by that and the page's own slope together, since the two rise towards each
// other.
func TestMeasuresOfATent(t *testing.T) {
	a := compile(t, spread(quay))
	for _, opening := range []float64{20, 60, 113, 180} {
		table := take(t, a, []geom.Angle{geom.Degrees(opening)}, "height", "tilt.page.left", "tilt.quay.left", "lean.quay.left", "fold.quay.ridge", "fold.gutter")
		sin, cos := math.Sincos(opening / 2 * math.Pi / 180)
		slope := math.Acos(30*sin/50) * 180 / math.Pi
		for i, want := range []float64{
			30*cos + math.Sqrt(50*50-30*30*sin*sin),
			(180 - opening) / 2,
			slope,
			slope + (180-opening)/2,
			180 - 2*slope,
			opening,
		} {
			if got := table.Series[i].Values[0]; math.Abs(got-want) > 1e-9 {
				t.Errorf("%s at %g: %.9g, want %.9g", table.Series[i].ID, opening, got, want)
			}
		}
	}
}

// Source: common practice has the far edge move by the travel in all.
func TestTravelOfATent(t *testing.T) {
	table := take(t, compile(t, spread(tent)), sweep(0, 180, 2), "travel.sail.strip")
	if v := table.Series[0].Values; v[0] != 0 || math.Abs(v[2]-30) > 1e-9 || v[1] <= 0 || v[1] >= 30 {
		t.Errorf("travel %v, want from 0 to 30", v)
	}
}

// Source: Pythagoras, 2.5² - 1.5² = 2², in inches.
func TestMeasuresInInches(t *testing.T) {
	a := compile(t, `{"units":"in","spread":{"page_width":5,"page_height":7},"mechanisms":[
	  {"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":1,"to":2,"left":{"base_offset":1.5,"panel_width":2.5}}]}`)
	table := take(t, a, []geom.Angle{math.Pi}, "height")
	if table.Series[0].Unit != "in" || math.Abs(table.Series[0].Values[0]-2) > 1e-9 {
		t.Errorf("%g %s, want 2 in", table.Series[0].Values[0], table.Series[0].Unit)
	}
}

// What is not reached has no value, and only that. A V of panel angles 40 can
// be reached while its base lines are at most 80 degrees apart.
func TestUnreachedHasNoValue(t *testing.T) {
	a := compile(t, spread(bow+","+quay))
	table := take(t, a, sweep(0, 180, 180), "height", "fold.bow.ridge", "tilt.bow.left", "fold.quay.ridge", "clearance")
	locked := 0
	for i := range table.At {
		p := a.NewPose()
		a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(float64(i))})
		for k, want := range []bool{p.AllReached, p.Reach[0] == kinematics.Reached, p.Reach[0] == kinematics.Reached, true, p.AllReached} {
			if got := finite(table.Series[k].Values[i]); got != want {
				t.Errorf("%s at %d: has a value: %t, want %t", table.Series[k].ID, i, got, want)
			}
		}
		if !p.AllReached {
			locked++
		}
	}
	if locked < 10 || locked > 170 {
		t.Errorf("locked at %d of the openings: the test shows nothing", locked)
	}
}

// Every measure of every example has an id of its own, is found by it, and has a
// value wherever its mechanism is reached.
func TestMeasuresOfExamples(t *testing.T) {
	for _, name := range designs.Names() {
		a := example(t, name)
		all := measure.List(a)
		seen := map[string]bool{}
		for _, m := range all {
			if found, ok := measure.Find(a, m.ID); !ok || found != m || seen[m.ID] {
				t.Errorf("%s: %s is not found, or not alone", name, m.ID)
			}
			seen[m.ID] = true
		}
		if len(all) > MaxMeasures {
			continue
		}
		table, err := Sample(a, sweep(0, float64(a.Design.Spread.OpensTo.Degrees()), 6), all)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range table.Series {
			for i, v := range s.Values {
				if !finite(v) || s.Unit == degree && (v < 0 || v > 360) {
					t.Errorf("%s: %s at %g is %g", name, s.ID, table.At[i], v)
				}
			}
		}
	}
}

// Source: a flap turned by its angle has its hinge at 180 less that.
func TestSampleDriver(t *testing.T) {
	a := compile(t, spread(`{"id":"hatch","kind":"flap","on":{"panel":"page.left"},"place":{"u":30,"v":40},"hinge_length":40,"depth":30}`))
	hinge, _ := measure.Find(a, "fold.hatch.hinge")
	table, err := SampleDriver(a, 0, []float64{0, 1, 2}, math.Pi, []measure.Measure{hinge})
	if err != nil {
		t.Fatal(err)
	}
	if table.Axis != (Axis{"hatch.angle", "hatch.angle", "deg"}) {
		t.Errorf("axis %+v", table.Axis)
	}
	for i, v := range table.Series[0].Values {
		if want := 180 - table.At[i]; math.Abs(v-want) > 1e-5 || math.Abs(table.At[i]-float64(i)*180/math.Pi) > 1e-9 {
			t.Errorf("at %g: %g, want %g", table.At[i], v, want)
		}
	}
	for _, driver := range []int{-1, 1} {
		if _, err := SampleDriver(a, driver, []float64{0}, math.Pi, []measure.Measure{hinge}); err == nil {
			t.Errorf("driver %d is accepted", driver)
		}
	}
}

func TestSampleIsChecked(t *testing.T) {
	a, other := compile(t, spread(quay)), compile(t, spread(tent))
	height, _ := measure.Find(a, "height")
	foreign, _ := measure.Find(other, "travel.sail.strip")
	for _, c := range []struct {
		openings []geom.Angle
		wanted   []measure.Measure
		want     string
	}{
		{nil, []measure.Measure{height}, "opening"},
		{make([]geom.Angle, MaxSamples+1), []measure.Measure{height}, "opening"},
		{[]geom.Angle{geom.Angle(math.NaN())}, []measure.Measure{height}, "opening"},
		{[]geom.Angle{1}, nil, "wanted"},
		{[]geom.Angle{1}, make([]measure.Measure, MaxMeasures+1), "wanted"},
		{[]geom.Angle{1}, []measure.Measure{foreign}, "wanted"},
	} {
		var fault *OptionError
		if _, err := Sample(a, c.openings, c.wanted); !errors.As(err, &fault) || fault.Option != c.want {
			t.Errorf("%v, want a fault of %s", err, c.want)
		}
	}
}

// The file reads back as what was sampled: RFC 4180 has lines end in CR LF and
// fields that need it quoted.
func TestCSV(t *testing.T) {
	a := compile(t, spread(bow+","+quay))
	table := take(t, a, sweep(0, 180, 60), "height", "fold.bow.ridge", "tilt.quay.left")
	table.Series[2].ID = `tilt "of", quay`
	var b bytes.Buffer
	if err := WriteCSV(&b, table); err != nil {
		t.Fatal(err)
	}
	if text := b.String(); strings.Count(text, "\r\n") != 62 || strings.Count(text, "\n") != 62 {
		t.Error("lines do not end as they should")
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(rows[0], "|"); got != `opening (deg)|height (mm)|fold.bow.ridge (deg)|tilt "of", quay (deg)` {
		t.Errorf("header %s", got)
	}
	empty := 0
	for i, row := range rows[1:] {
		for k, field := range row {
			want := table.At[i]
			if k > 0 {
				want = table.Series[k-1].Values[i]
			}
			if !finite(want) {
				empty++
				if field != "" {
					t.Errorf("row %d: %q where there is no value", i, field)
				}
				continue
			}
			if got, err := strconv.ParseFloat(field, 64); err != nil || math.Abs(got-want) > 0.6e-6 {
				t.Errorf("row %d: %q, want %g", i, field, want)
			}
		}
	}
	if empty == 0 {
		t.Error("no value is missing: the test shows nothing")
	}
}

func TestDecimal(t *testing.T) {
	for v, want := range map[float64]string{0: "0", -1e-9: "0", 1.5: "1.5", -2: "-2", 1.0 / 3: "0.333333", 100: "100", 1e6: "1000000"} {
		if got := Decimal(v); got != want {
			t.Errorf("%g: %s, want %s", v, got, want)
		}
	}
	if got := Decimal(math.NaN()); got != "" {
		t.Errorf("no value: %q", got)
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		ticks     int
		unit      string
		wide      bool
		want      string
	}{
		{0, 180, 9, degree, false, "0 30 60 90 120 150 180"},
		{0, 180, 4, degree, false, "0 45 90 135 180"},
		{0, 87.3, 5, "mm", true, "0 20 40 60 80 100"},
		{0, 87.3, 5, "mm", false, "0 20 40 60 80"},
		{-0.32, 0.41, 4, "in", true, "-0.4 -0.2 0.0 0.2 0.4 0.6"},
		{0, 0.004, 4, degree, true, "0.000 0.001 0.002 0.003 0.004"},
		{70, 70, 4, "mm", true, "60 65 70 75 80"},
		{math.Inf(1), math.Inf(-1), 2, "mm", true, "0.0 0.5 1.0"},
		{1000, 3000, 4, "mm", true, "1000 1500 2000 2500 3000"},
	} {
		s := newScale(c.low, c.high, c.ticks, c.unit, c.wide)
		var labels []string
		for _, v := range s.ticks() {
			labels = append(labels, s.label(v))
		}
		if got := strings.Join(labels, " "); got != c.want {
			t.Errorf("%g to %g: %s, want %s", c.low, c.high, got, c.want)
		}
	}
}

var pathNumber = regexp.MustCompile(`-?\d+(\.\d+)?`)

// curvesOf reads the curves of a plot back: the numbers of each path by measure.
func curvesOf(t testing.TB, svg string) map[string]string {
	t.Helper()
	out := map[string]string{}
	measure := ""
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			for _, a := range x.Attr {
				if a.Name.Local == "data-measure" {
					measure = a.Value
				}
				if x.Name.Local == "path" && a.Name.Local == "d" && measure != "" {
					out[measure] = a.Value
				}
			}
		case xml.EndElement:
			if x.Name.Local == "g" {
				measure = ""
			}
		}
	}
}

func plot(t testing.TB, table *Table, o PlotOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteSVG(&b, table, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Read back off the plot by its scales, the curves are the samples, with gaps
// where there are none.
func TestPlotShowsTheSamples(t *testing.T) {
	a := compile(t, spread(bow+","+quay))
	table := take(t, a, sweep(0, 180, 90), "height", "fold.bow.ridge", "tilt.quay.left")
	o, err := PlotOptions{}.resolved(table)
	if err != nil {
		t.Fatal(err)
	}
	p := &plotter{t: table, width: float64(o.Width), top: 40, bottom: 400}
	p.scales()
	svg := plot(t, table, o)
	found := curvesOf(t, svg)
	runs := 0
	for _, s := range table.Series {
		numbers := pathNumber.FindAllString(found[s.ID], -1)
		k := 0
		var first, last [2]float64
		for i, v := range s.Values {
			if !finite(v) {
				continue
			}
			x, errX := strconv.ParseFloat(numbers[2*k], 64)
			y, errY := strconv.ParseFloat(numbers[2*k+1], 64)
			if errX != nil || errY != nil {
				t.Fatal(errX, errY)
			}
			if math.Abs(x-p.px(table.At[i])) > 0.006 {
				t.Errorf("%s: value %d is at %g px across", s.ID, i, x)
			}
			if k == 0 {
				first = [2]float64{v, y}
			}
			// All values of a curve are on one straight scale through its
			// first and its highest.
			if math.Abs(v-first[0]) > math.Abs(last[0]-first[0]) || k == 0 {
				last = [2]float64{v, y}
			}
			k++
		}
		if 2*k != len(numbers) {
			t.Errorf("%s: %d numbers for %d values", s.ID, len(numbers), k)
		}
		k = 0
		for _, v := range s.Values {
			if !finite(v) {
				continue
			}
			y, _ := strconv.ParseFloat(numbers[2*k+1], 64)
			want := first[1] + (v-first[0])*(last[1]-first[1])/(last[0]-first[0])
			if math.Abs(y-want) > 0.02 {
				t.Errorf("%s: %g is drawn at %g px, want %g", s.ID, v, y, want)
				break
			}
			k++
		}
		runs += strings.Count(found[s.ID], "M")
	}
	// The V locks at one end only, so each of its curves is one run, and so is
	// the other's.
	if runs != 3 {
		t.Errorf("%d runs of lines", runs)
	}
	// A gap in the middle parts a curve, and a value alone is a dot.
	table.Series[2].Values[40], table.Series[2].Values[42] = math.NaN(), math.NaN()
	svg = plot(t, table, o)
	if n := strings.Count(curvesOf(t, svg)["tilt.quay.left"], "M"); n != 2 || strings.Count(svg, "<circle") != 1 {
		t.Errorf("%d runs and %d dots around gaps", n, strings.Count(svg, "<circle"))
	}
}

// No two curves look alike.
func TestCurvesAreToldApart(t *testing.T) {
	seen := map[string]bool{}
	for i := range MaxCurves {
		ink, dash := look(i)
		key := hex(ink)
		for _, d := range dash {
			key += " " + number(d)
		}
		if seen[key] {
			t.Errorf("curve %d looks like one before", i)
		}
		seen[key] = true
		if i > 0 {
			lastInk, lastDash := look(i - 1)
			if ink == lastInk || len(dash) == len(lastDash) && (len(dash) == 0 || dash[0] == lastDash[0]) {
				t.Errorf("curves %d and %d share ink or dash", i-1, i)
			}
		}
	}
}

func TestPlotsOfAllSizes(t *testing.T) {
	a := example(t, "harbour")
	var ids []string
	for _, m := range measure.List(a)[:MaxCurves] {
		ids = append(ids, m.ID)
	}
	for _, n := range []int{1, 3, MaxCurves} {
		table := take(t, a, sweep(0, 180, 45), ids[:n]...)
		for _, o := range []PlotOptions{{}, {Width: MinWidth}, {Width: 1600, Height: 400}, {Height: MinHeight, Transparent: true}} {
			svg := plot(t, table, o)
			if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") || svg != plot(t, table, o) {
				t.Errorf("%d curves, %+v: not sound", n, o)
			}
			var b bytes.Buffer
			if err := WritePNG(&b, table, o); err != nil {
				t.Fatal(err)
			}
			img, err := png.Decode(&b)
			if err != nil {
				t.Fatal(err)
			}
			size := regexp.MustCompile(`width="(\d+)" height="(\d+)"`).FindStringSubmatch(svg)
			if w, h := strconv.Itoa(img.Bounds().Dx()), strconv.Itoa(img.Bounds().Dy()); size[1] != w || size[2] != h {
				t.Errorf("%d curves, %+v: SVG of %s by %s, PNG of %s by %s", n, o, size[1], size[2], w, h)
			}
			if _, _, _, alpha := img.At(0, 0).RGBA(); (alpha == 0) != o.Transparent {
				t.Errorf("%+v: the corner has alpha %d", o, alpha)
			}
		}
	}
}

func TestPlotOptionsAreChecked(t *testing.T) {
	table := take(t, compile(t, spread(quay)), sweep(0, 180, 4), "height")
	many := *table
	for range MaxCurves {
		many.Series = append(many.Series, table.Series[0])
	}
	for _, c := range []struct {
		table *Table
		o     PlotOptions
		want  string
	}{
		{table, PlotOptions{Width: MinWidth - 1}, "Width"},
		{table, PlotOptions{Width: MaxWidth + 1}, "Width"},
		{table, PlotOptions{Height: MinHeight - 1}, "Height"},
		{table, PlotOptions{Height: MaxWidth + 1}, "Height"},
		{&many, PlotOptions{}, "wanted"},
		{&Table{At: table.At}, PlotOptions{}, "wanted"},
	} {
		var b bytes.Buffer
		for _, err := range []error{WriteSVG(&b, c.table, c.o), WritePNG(&b, c.table, c.o)} {
			var fault *OptionError
			if !errors.As(err, &fault) || fault.Option != c.want || b.Len() > 0 {
				t.Errorf("%+v: %v, want a fault of %s", c.o, err, c.want)
			}
		}
	}
}

type brokenWriter struct{}

var errBroken = errors.New("broken")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestWriteErrorsAreReported(t *testing.T) {
	table := take(t, compile(t, spread(quay)), sweep(0, 180, 4), "height")
	for i, err := range []error{
		WriteCSV(brokenWriter{}, table), WriteSVG(brokenWriter{}, table, PlotOptions{}), WritePNG(brokenWriter{}, table, PlotOptions{}),
	} {
		if !errors.Is(err, errBroken) {
			t.Errorf("writer %d: %v", i, err)
		}
	}
}

func TestGoldenPlot(t *testing.T) {
	table := take(t, example(t, "harbour"), sweep(0, 180, 36), "height", "fold.lighthouse.ridge", "tilt.lighthouse.left", "lean.quay.left")
	path := filepath.Join("testdata", "harbour.svg")
	got := plot(t, table, PlotOptions{})
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
		t.Errorf("%s differs; look at the new plot and run with -update if it is right", path)
	}
}

func BenchmarkPlot(b *testing.B) {
	a := example(b, "harbour")
	openings := sweep(0, 180, 180)
	table := take(b, a, openings, "height", "fold.lighthouse.ridge", "tilt.lighthouse.left", "lean.quay.left")
	clearance, _ := measure.Find(a, "clearance")
	for _, c := range []struct {
		name string
		f    func() error
	}{
		{"sample", func() error {
			_, err := Sample(a, openings, []measure.Measure{table.Series[0].Measure, table.Series[1].Measure})
			return err
		}},
		{"clearance", func() error {
			_, err := Sample(a, openings, []measure.Measure{clearance})
			return err
		}},
		{"csv", func() error { return WriteCSV(io.Discard, table) }},
		{"svg", func() error { return WriteSVG(io.Discard, table, PlotOptions{}) }},
		{"png", func() error { return WritePNG(io.Discard, table, PlotOptions{}) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if err := c.f(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
