package draw

import (
	"errors"
	"flag"
	"math"
	"os"
	"path/filepath"
	"testing"

	"foldwright/solver/geom"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares bytes with a file under testdata.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s differs: %d bytes, want %d; first difference at byte %d", name, len(got), len(want), firstDifference(got, want))
	}
}

func firstDifference(a, b []byte) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}

func path(t testing.TB, s string) geom.Path {
	t.Helper()
	p, err := geom.ParsePath(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func v(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} }

// harbour is a sheet with a page and two parts: every operation, every kind of
// segment, a hole, turned and mirrored places, and words that need escapes.
func harbour(t testing.TB) *Drawing {
	lighthouse := path(t, "M-11 0 C-10 22 -7 40 -6 62 H-8 A3 3 0 0 0 -8 68 H-5.5 V78 A5.5 5.5 0 0 0 5.5 78 V68 H8 A3 3 0 0 0 8 62 H6 C7 40 10 22 11 0 Z")
	door := path(t, "M-3 4 V11 A3 3 0 0 0 3 11 V4 Z")
	tab := path(t, "M-11 0 L-9 -8 H9 L11 0 Z")
	outline, err := geom.Union(lighthouse, tab)
	if err != nil {
		t.Fatal(err)
	}
	gull := path(t, "M0 4 Q8 12 18 9 Q9 5 4 -2 A6 4 15 0 0 -4 -2 Q-9 5 -18 9 Q-8 12 0 4 Z")
	return &Drawing{
		ID: "harbour", Title: "Harbour morning", Desc: "Lighthouse & gull, 1:1",
		Box: geom.Box2{Min: v(-10, -10), Max: v(170, 110)},
		Parts: []Part{
			{
				ID: "page", Name: "Page", Desc: "Spread with its gutter", Place: geom.Identity,
				Marks: []Mark{
					{Op: Cut, Path: geom.RoundedRect(0, 0, 100, 100, 4), ID: "outline"},
					{Op: ScoreValley, Path: geom.PolylinePath([]geom.Vec2{v(50, 0), v(50, 100)}, false), ID: "gutter"},
					{Op: Cut, Path: geom.RoundedRect(20, 30, 22, 52, 1), ID: "slot"},
					{Op: Glue, Path: path(t, "M56 30 L74 36 L70 44 L54 40 Z"), ID: "lighthouse", Fill: true},
					{Op: Perforate, Path: path(t, "M4 90 H46"), ID: "flap"},
					{Op: Registration, Path: path(t, "M3 6 H9 M6 3 V9"), ID: "a"},
					{Op: Registration, Path: path(t, "M91 94 H97 M94 91 V97"), ID: "b"},
				},
				Texts: []Text{
					{Op: Label, At: v(64, 37), Height: 3, Angle: geom.Degrees(18), Anchor: Middle, S: "A"},
					{Op: Label, At: v(6, 82), Height: 2, S: "Höhe <30 mm> & 50% “sea”"},
					{Op: Label, At: v(47, 14), Height: 2.5, Angle: geom.Degrees(90), S: "gutter"},
					{Op: Label, At: v(96, 60), Height: 2.5, Anchor: End, S: "page.right"},
				},
			},
			{
				ID: "lighthouse", Name: "Lighthouse", Place: geom.Move(v(125, 12)),
				Marks: []Mark{
					{Op: Cut, Path: outline, ID: "outline"},
					{Op: Cut, Path: door, ID: "door"},
					{Op: ScoreMountain, Path: path(t, "M0 14 V67"), ID: "ridge"},
					{Op: ScoreValley, Path: path(t, "M-11 0 H11"), ID: "base"},
					{Op: Glue, Path: path(t, "M-9.5 -1 L-8 -7 H8 L9.5 -1 Z"), ID: "tab", Fill: true},
					{Op: Print, Path: path(t, "M-8.4 24 C-3 26 3 26 8.4 24 L7.7 32 C3 34 -3 34 -7.7 32 Z"), ID: "band", Fill: true},
				},
				Texts: []Text{{Op: Label, At: v(0, 70), Height: 2.5, Anchor: Middle, S: "lamp"}},
			},
			{
				// Mirrored across a vertical line, then turned a little.
				ID: "gull", Name: "Gull", Place: geom.Placement{C: -1, Mirror: true}.Then(geom.Turn(geom.Degrees(-10))).Then(geom.Move(v(148, 85))),
				Marks: []Mark{
					{Op: Cut, Path: gull, ID: "outline"},
					{Op: ScoreMountain, Path: path(t, "M0 4 V-3.5"), ID: "spine"},
				},
				Texts: []Text{{Op: Label, At: v(2, 3), Height: 1.8, S: "gull"}},
			},
		},
	}
}

// measure is what a file must hold for one operation of one part.
type measure struct {
	contours, closed int
	length, area     float64 // area is the sum of the magnitudes of closed contours
}

func measured(p geom.Path) measure {
	var m measure
	for i := range p {
		one := geom.Path{p[i]}
		m.contours++
		m.length += one.Length()
		if p[i].Closed {
			m.closed++
			m.area += math.Abs(one.Area())
		}
	}
	return m
}

func (m measure) plus(o measure) measure {
	return measure{m.contours + o.contours, m.closed + o.closed, m.length + o.length, m.area + o.area}
}

// expected measures the marks of a part, hatching included.
func expected(p *Part, op Operation) measure {
	var m measure
	for _, mark := range p.Marks {
		if mark.Op == op {
			placed := mark.Path.Transform(p.Place)
			m = m.plus(measured(placed))
			if mark.Fill && op == Glue {
				m = m.plus(measured(hatch(placed)))
			}
		}
	}
	return m
}

func TestOperations(t *testing.T) {
	seen := map[string]bool{}
	for _, op := range Operations() {
		back, ok := ParseOperation(op.String())
		if !ok || back != op || seen[op.String()] {
			t.Errorf("operation %d: name %q leads to %v", op, op, back)
		}
		seen[op.String()] = true
	}
	inOrder := map[Operation]bool{}
	for _, op := range workOrder {
		inOrder[op] = true
	}
	if len(seen) != int(operationCount) || len(inOrder) != int(operationCount) {
		t.Errorf("%d names and %d in working order of %d", len(seen), len(inOrder), operationCount)
	}
	if _, ok := ParseOperation("sail"); ok || Operation(99).String() != "operation(99)" {
		t.Error("an unknown operation must not pass for one")
	}
}

func TestCheckRefuses(t *testing.T) {
	rows := []struct {
		why   string
		spoil func(*Drawing)
	}{
		{"no box", func(d *Drawing) { d.Box = geom.EmptyBox() }},
		{"box without width", func(d *Drawing) { d.Box.Max.X = d.Box.Min.X }},
		{"box without end", func(d *Drawing) { d.Box.Max.X = math.Inf(1) }},
		{"two parts of one id", func(d *Drawing) { d.Parts[1].ID = "page" }},
		{"part with the id of a group", func(d *Drawing) { d.Parts[1].ID = "page-cut" }},
		{"part with the id of the drawing", func(d *Drawing) { d.Parts[1].ID = "harbour" }},
		{"ids equal once made legal", func(d *Drawing) { d.Parts[0].ID, d.Parts[1].ID = "a b", "a_b" }},
		{"two marks of one id", func(d *Drawing) { d.Parts[0].Marks[2].ID = "outline" }},
		{"unknown operation of a mark", func(d *Drawing) { d.Parts[0].Marks[0].Op = operationCount }},
		{"unknown operation of a text", func(d *Drawing) { d.Parts[0].Texts[0].Op = operationCount }},
		{"coordinate not a number", func(d *Drawing) { d.Parts[0].Marks[0].Path = geom.Circle(v(math.NaN(), 0), 1) }},
		{"infinite coordinate", func(d *Drawing) { d.Parts[0].Marks[0].Path = geom.Circle(v(math.Inf(1), 0), 1) }},
		{"no placement", func(d *Drawing) { d.Parts[0].Place = geom.Placement{} }},
		{"text without height", func(d *Drawing) { d.Parts[0].Texts[0].Height = 0 }},
		{"text nowhere", func(d *Drawing) { d.Parts[0].Texts[0].At.X = math.NaN() }},
	}
	for _, r := range rows {
		d := harbour(t)
		r.spoil(d)
		var bad *Error
		if err := WriteSVG(discard{}, d, SVGOptions{}); !errors.As(err, &bad) {
			t.Errorf("%s: SVG writer says %v", r.why, err)
		}
		if err := WriteDXF(discard{}, d, DXFOptions{}); !errors.As(err, &bad) {
			t.Errorf("%s: DXF writer says %v", r.why, err)
		}
	}
}

type discard struct{}

func (discard) Write(b []byte) (int, error) { return len(b), nil }

var errFull = errors.New("disk full")

// full fails, short only claims to have written half.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

type short struct{}

func (short) Write(b []byte) (int, error) { return len(b) / 2, nil }

func TestWriteErrors(t *testing.T) {
	d := harbour(t)
	if err := WriteSVG(full{}, d, SVGOptions{}); !errors.Is(err, errFull) {
		t.Errorf("SVG: %v", err)
	}
	if err := WriteDXF(full{}, d, DXFOptions{}); !errors.Is(err, errFull) {
		t.Errorf("DXF: %v", err)
	}
	if WriteSVG(short{}, d, SVGOptions{}) == nil || WriteDXF(short{}, d, DXFOptions{}) == nil {
		t.Error("a short write must be an error")
	}
}

func TestExtent(t *testing.T) {
	d := harbour(t)
	if b := d.Extent(); b.Min != v(0, 0) || math.Abs(b.Max.Y-100) > 1e-9 || b.Max.X < 160 || b.Max.X > d.Box.Max.X {
		t.Errorf("extent %v", b)
	}
}

// Hatch lines stay inside and cover the area evenly: their length times their
// spacing is the area, up to the lines cut off at the rim.
func TestHatch(t *testing.T) {
	area := append(geom.Rect(0, 0, 60, 40), geom.Circle(v(30, 20), 12)...)
	lines := hatch(area)
	rings := area.Flatten(0.001)
	for _, l := range lines {
		for _, q := range []float64{0.02, 0.5, 0.98} {
			if p := l.Start.Lerp(l.End(), q); !geom.RingsContain(rings, p) {
				t.Fatalf("hatch point %v is outside", p)
			}
		}
	}
	want := 60*40 - 144*math.Pi
	if got := lines.Length() * hatchSpacing; math.Abs(got-want) > 0.03*want {
		t.Errorf("hatching covers %.1f mm², the area is %.1f", got, want)
	}
	if len(hatch(nil)) != 0 {
		t.Error("nothing to hatch")
	}
}

// A mirrored place must not mirror the writing, only put it where it belongs.
func TestPlacedText(t *testing.T) {
	text := Text{At: v(10, 5), Height: 2, S: "gull"}
	across := geom.Placement{C: -1, Mirror: true} // (x, y) to (-x, y)
	got := text.placed(across)
	if got.At != v(-10, 5) || math.Abs(float64(got.Angle)) > 1e-12 || got.Anchor != End {
		t.Errorf("mirrored across: %+v", got)
	}
	turned := text.placed(geom.Turn(geom.Degrees(90)).Then(geom.Scale(2)))
	if turned.At.Sub(v(-10, 20)).Norm() > 1e-12 || math.Abs(turned.Angle.Degrees()-90) > 1e-9 || turned.Height != 4 || turned.Anchor != Start {
		t.Errorf("turned: %+v", turned)
	}
}
