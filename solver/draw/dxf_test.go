package draw

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"foldwright/solver/geom"
	"foldwright/testdata/outside"
)

func dxf(t testing.TB, d *Drawing, o DXFOptions) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteDXF(&b, d, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestDXFGolden(t *testing.T) {
	golden(t, "harbour.dxf", dxf(t, harbour(t), DXFOptions{}))
}

// Every group is a code line and a value line, handles are unique, and every
// owner and pointer leads to an object of the file.
func TestDXFStructure(t *testing.T) {
	lines := strings.Split(strings.TrimSuffix(string(dxf(t, harbour(t), DXFOptions{})), "\n"), "\n")
	if len(lines)%2 != 0 {
		t.Fatalf("%d lines", len(lines))
	}
	handles := map[string]bool{"0": true}
	var pointers []string
	seed, kind := "", ""
	for i := 0; i < len(lines); i += 2 {
		code, value := lines[i], lines[i+1]
		switch {
		case code == "0":
			kind = value
		case code == "5" && i > 0 && lines[i-1] == "$HANDSEED":
			seed = value
		case code == "5" || code == "105" && kind == "DIMSTYLE":
			if handles[value] {
				t.Errorf("handle %s is used twice", value)
			}
			handles[value] = true
		case code == "330" || code == "340" || code == "350" || code == "390":
			pointers = append(pointers, value)
		}
		if strings.ContainsAny(value, "eE") && (code == "10" || code == "20" || code == "42" || code == "40") {
			t.Errorf("number %s has an exponent", value)
		}
		if value == "-0.0" || value == "-0" {
			t.Errorf("minus zero under code %s", code)
		}
		for _, c := range []byte(value) {
			if c >= 0x7f {
				t.Fatalf("byte %x outside ASCII in %q", c, value)
			}
		}
	}
	for _, p := range pointers {
		if !handles[p] {
			t.Errorf("pointer to %s, which is nothing", p)
		}
	}
	if handles[seed] || seed == "" {
		t.Errorf("the handle seed %q must be free", seed)
	}
	if lines[len(lines)-1] != "EOF" {
		t.Error("no end of file")
	}
}

func TestDXFText(t *testing.T) {
	rows := []struct{ in, want string }{
		{"mast 70 mm", "mast 70 mm"},
		{"Höhe", `H\U+00F6he`},
		{"海", `\U+6D77`},
		{"⚓ 🐟", `\U+2693 \U+D83D\U+DC1F`},
		{`a\P b`, `a\U+005CP b`},
		{"50%", "50%"},
		{"%%d", "%%%%%%d"},
		{"2^3", "2^ 3"},
		{"two\nlines", "two lines"},
	}
	for _, r := range rows {
		if got := dxfText(r.in); got != r.want {
			t.Errorf("%q: %s, want %s", r.in, got, r.want)
		}
	}
	if got := dxfName(` cut/score:"1" `, "x"); got != "cut_score__1_" {
		t.Errorf("name %q", got)
	}
	if dxfName("0", "cut") != "cut" || dxfName("", "cut") != "cut" || len(dxfName(strings.Repeat("ö", 99), "")) > nameBytes {
		t.Error("names must be legal, not layer 0, and short")
	}
}

// dxfReading is what testdata/read_dxf.py finds with an independent reader.
type dxfReading struct {
	Errors  []string
	Fixes   []string
	Version string
	Units   int
	Metric  int
	ExtMin  []float64
	ExtMax  []float64
	Layers  map[string]struct {
		Color, Weight int
		Ltype         string
		Plot          bool
	}
	Ltypes   map[string][]float64
	Layouts  []string
	Entities []struct {
		Kind, Layer, Ltype, Text string
		Closed                   bool
		Length, Area             float64
		Arcs, Color, Align       int
		At                       []float64
		Height, Rotation         float64
	}
}

// pythonWithEzdxf is the interpreter that has the module.
func pythonWithEzdxf(t *testing.T) string {
	t.Helper()
	python := outside.Program(t, "/usr/bin/python3")
	if err := exec.Command(python, "-c", "import ezdxf").Run(); err != nil {
		outside.Program(t, "python3-ezdxf module of "+python)
	}
	return python
}

func readDXF(t *testing.T, data []byte) dxfReading {
	t.Helper()
	python := pythonWithEzdxf(t)
	file := filepath.Join(t.TempDir(), "drawing.dxf")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	var problems bytes.Buffer
	cmd := exec.Command(python, filepath.Join("testdata", "read_dxf.py"), file)
	cmd.Stderr = &problems
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, problems.String())
	}
	var r dxfReading
	if err := json.Unmarshal(out, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

func TestDXFReadsBack(t *testing.T) {
	d := harbour(t)
	r := readDXF(t, dxf(t, d, DXFOptions{}))
	if len(r.Errors) > 0 || len(r.Fixes) > 0 {
		t.Errorf("audit: errors %q, fixes %q", r.Errors, r.Fixes)
	}
	if r.Version != "AC1015" || r.Units != 4 || r.Metric != 1 {
		t.Errorf("version %s, units %d, measurement %d", r.Version, r.Units, r.Metric)
	}
	if r.ExtMin[0] != -10 || r.ExtMin[1] != -10 || r.ExtMax[0] != 170 || r.ExtMax[1] != 110 {
		t.Errorf("extents %v %v", r.ExtMin, r.ExtMax)
	}
	styles := DefaultStyles()
	for op, s := range styles {
		layer, ok := r.Layers[s.Layer]
		if !ok || layer.Color != s.ACI || layer.Weight != lineWeight(s.Width) || !layer.Plot {
			t.Errorf("layer %s: %+v", s.Layer, layer)
		}
		pattern, ok := r.Ltypes[layer.Ltype]
		if !ok || len(pattern) != len(s.Dash) {
			t.Errorf("line type %s of %s: %v", layer.Ltype, Operation(op), pattern)
			continue
		}
		for i, v := range pattern {
			if math.Abs(math.Abs(v)-s.Dash[i]) > 1e-9 || (v > 0) != (i%2 == 0) {
				t.Errorf("line type %s: %v, want %v with gaps below zero", layer.Ltype, pattern, s.Dash)
			}
		}
	}
	if len(r.Layers) != len(styles)+2 { // 0, and Defpoints, which the reader adds
		t.Errorf("%d layers: %v", len(r.Layers), r.Layers)
	}
	// Entities come part by part, each part in working order.
	k := 0
	for i := range d.Parts {
		p := &d.Parts[i]
		for _, op := range workOrder {
			want := expected(p, op)
			var got measure
			for ; got.contours < want.contours && k < len(r.Entities); k++ {
				e := r.Entities[k]
				if e.Kind != "LWPOLYLINE" || e.Layer != styles[op].Layer || e.Ltype != "BYLAYER" {
					t.Fatalf("entity %d of %s, %s: %+v", k, p.ID, op, e)
				}
				got.contours++
				got.length += e.Length
				if e.Closed {
					got.closed++
					got.area += math.Abs(e.Area)
				}
			}
			// Curves that are no circles are within 0.02 mm, two thirds of
			// that on average. A chord so far off an arc of radius r is short
			// by a part of 0.02/(3r): 1e-3 at the gull's tightest, 6 mm.
			if got.contours != want.contours || got.closed != want.closed ||
				math.Abs(got.length-want.length) > 1e-3*want.length || math.Abs(got.area-want.area) > 0.02*want.length*2/3 {
				t.Errorf("%s, %s: %+v, want %+v", p.ID, op, got, want)
			}
			for _, text := range p.Texts {
				if text.Op != op {
					continue
				}
				e := r.Entities[k]
				k++
				placed := text.placed(p.Place)
				if e.Kind != "TEXT" || e.Text != text.S || e.Height != placed.Height || e.Align != int(placed.Anchor) ||
					v(e.At[0], e.At[1]).Sub(placed.At).Norm() > 1e-5 ||
					math.Abs(math.Remainder(e.Rotation-placed.Angle.Degrees(), 360)) > 1e-5 {
					t.Errorf("text %+v, want %+v", e, placed)
				}
			}
		}
	}
	if k != len(r.Entities) {
		t.Errorf("%d entities, want %d", len(r.Entities), k)
	}
}

// Circular arcs are exact, in size and in sign.
func TestDXFArcs(t *testing.T) {
	d := &Drawing{Box: geom.Box2{Max: v(200, 200)}, Parts: []Part{{
		ID: "buoys", Place: geom.Turn(geom.Degrees(33)).Then(geom.Move(v(80, 80))),
		Marks: []Mark{
			{Op: Cut, Path: geom.Circle(v(0, 0), 30)},
			{Op: Cut, Path: geom.RoundedRect(0, 0, 60, 40, 8)},
			{Op: Cut, Path: path(t, "M0 0 A20 20 0 0 0 40 0 Z")},
			{Op: ScoreValley, Path: geom.CircularArc(v(0, 0), 25, geom.Degrees(10), geom.Degrees(-300))},
		},
	}}}
	r := readDXF(t, dxf(t, d, DXFOptions{}))
	if len(r.Errors) > 0 {
		t.Errorf("audit: %q", r.Errors)
	}
	want := []struct {
		length, area float64
		arcs         int
		closed       bool
		source       string
	}{
		{25 * 300 * math.Pi / 180, 0, 3, false, "rθ"},
		{60 * math.Pi, 900 * math.Pi, 4, true, "2πr, πr²"},
		{2*(44+24) + 16*math.Pi, 2400 - (4-math.Pi)*64, 4, true, "rectangle with quarter circles"},
		{40 + 20*math.Pi, -200 * math.Pi, 1, true, "half disc over its diameter, clockwise as its sweep says"},
	}
	for i, w := range want {
		e := r.Entities[i]
		// The file has nanometres.
		if math.Abs(e.Length-w.length) > 1e-5 || e.Arcs != w.arcs || e.Closed != w.closed ||
			w.closed && math.Abs(e.Area-w.area) > 1e-4 {
			t.Errorf("entity %d: %+v, want %+v", i, e, w)
		}
	}
}

// Operations that share a layer keep their own colour and line type.
func TestDXFSharedLayer(t *testing.T) {
	styles := DefaultStyles()
	styles[ScoreValley].Layer, styles[ScoreMountain].Layer = "Creases", "creases"
	r := readDXF(t, dxf(t, harbour(t), DXFOptions{Styles: &styles}))
	if len(r.Errors) > 0 {
		t.Errorf("audit: %q", r.Errors)
	}
	seen := map[string]int{}
	for _, e := range r.Entities {
		if strings.EqualFold(e.Layer, "creases") {
			seen[e.Ltype]++
		}
	}
	if seen["BYLAYER"] != 2 || seen["DASH_score_valley"] != 2 || len(seen) != 2 {
		t.Errorf("line types on the shared layer: %v", seen)
	}
}
