package draw

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foldwright/solver/geom"
)

// squares is a picture with an area, a dashed line and words that need escaping.
func squares() *Picture {
	square := Polyline{Points: []geom.Vec2{{X: 10, Y: 10}, {X: 90, Y: 10}, {X: 90, Y: 40}, {X: 10, Y: 40}}, Closed: true}
	return &Picture{Width: 100, Height: 50, Title: `"A" & <B>`, Shapes: []Shape{
		{Lines: []Polyline{square}, Fill: "#ffcc00", Stroke: "#112233", Width: 1},
		{Lines: []Polyline{{Points: square.Points[:2]}}, Stroke: "#445566", Width: 0.5, Dash: []float64{2, 1}},
		{Words: &Words{S: "A & <B>", At: geom.Vec2{X: 50, Y: 30}, Size: 8, Anchor: Middle, Ink: "#000000"}},
	}}
}

func TestBookletHoldsWordsAndPictures(t *testing.T) {
	a5, _ := FindPaper("A5")
	write := func() []byte {
		b := NewBooklet("Łódź – guide", a5, Landscape)
		for _, s := range []string{"First words", "Second – words"} {
			b.AddPage()
			b.Write(Bold, 5, geom.Vec2{X: 20, Y: 100}, Start, "#000000", s)
			b.Picture(squares(), geom.Box2{Min: geom.Vec2{X: 20, Y: 20}, Max: geom.Vec2{X: 120, Y: 90}})
			b.Area(geom.Box2{Min: geom.Vec2{X: 150, Y: 20}, Max: geom.Vec2{X: 160, Y: 30}}, "#00ff00")
			b.Rule(geom.Vec2{X: 20, Y: 15}, geom.Vec2{X: 190, Y: 15}, 0.2, "#0000ff")
		}
		b.OnEach(func(page int) {
			b.Write(Regular, 3, geom.Vec2{X: 190, Y: 10}, End, "#000000", []string{"one", "two"}[page])
		})
		var out bytes.Buffer
		if _, err := b.WriteTo(&out); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	data := write()
	if !bytes.Equal(data, write()) {
		t.Error("the same calls make different bytes")
	}
	path := filepath.Join(t.TempDir(), "booklet.pdf")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	output(t, "qpdf", "--check", path)
	pages := strings.Split(output(t, "pdftotext", "-raw", path, "-"), "\f")
	for i, want := range [][]string{{"First words", "A & <B>", "one"}, {"Second – words", "A & <B>", "two"}} {
		if got := strings.Split(strings.TrimSpace(pages[i]), "\n"); strings.Join(got, "|") != strings.Join(want, "|") {
			t.Errorf("page %d reads %q", i+1, got)
		}
	}
	if info := output(t, "pdfinfo", path); !strings.Contains(info, "Łódź – guide") || !strings.Contains(info, "595.276 x 419.527") {
		t.Errorf("pdfinfo says %s", info)
	}
}

func TestBookletRefusesNumbersThatAreNone(t *testing.T) {
	a4, _ := FindPaper("A4")
	b := NewBooklet("", a4, Portrait)
	b.AddPage()
	pic := squares()
	pic.Width = 0
	b.Picture(pic, geom.Box2{Max: geom.Vec2{X: 10, Y: 10}})
	if _, err := b.WriteTo(&bytes.Buffer{}); err == nil {
		t.Error("a picture without width is written")
	}
}

func TestWrapBreaksWhatIsTooLong(t *testing.T) {
	a4, _ := FindPaper("A4")
	b := NewBooklet("", a4, Portrait)
	for _, s := range []string{"", "short", strings.Repeat("x", 400), "a few words and " + strings.Repeat("long", 40) + " one"} {
		lines := b.Wrap(Regular, 4, 30, s)
		if got := strings.ReplaceAll(strings.Join(lines, ""), " ", ""); got != strings.ReplaceAll(s, " ", "") {
			t.Errorf("%q became %q", s, lines)
		}
		for _, l := range lines {
			if b.TextWidth(Regular, 4, l) > 30 {
				t.Errorf("%q is wider than its line", l)
			}
		}
	}
}

func TestPictureIsXML(t *testing.T) {
	var out bytes.Buffer
	if err := WritePicture(&out, squares()); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "picture.svg")
	if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if got := strings.TrimSpace(output(t, "xmllint", "--xpath", "string(//*[local-name()='title'])", path)); got != `"A" & <B>` {
		t.Errorf("the title reads %s", got)
	}
	output(t, "rsvg-convert", "-o", filepath.Join(t.TempDir(), "picture.png"), path)
}
