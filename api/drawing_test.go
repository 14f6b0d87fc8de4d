package api

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"foldwright/solver/draw"
	"foldwright/testdata/outside"
)

func said(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	var problems bytes.Buffer
	command := exec.CommandContext(t.Context(), outside.Program(t, name), args...)
	command.Stderr = &problems
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s", name, err, problems.String())
	}
	return out
}

// finishes are ways to draw a pattern, by name.
func finishes() map[string]PatternOptions {
	as := func(s ScoresName) *DrawingScores { return &DrawingScores{As: &s} }
	kerf, factor, mono, red, layer := 0.2, 1.0, Monochrome, "#c8102e", "Klinge 1"
	return map[string]PatternOptions{
		"plain":     {},
		"kerf":      {Drawing: DrawingOptions{Kerf: &kerf}},
		"perforate": {Drawing: DrawingOptions{Scores: as(ScoresNamePerforate), Style: &DrawingStyle{Base: &mono}}},
		"half cut":  {Drawing: DrawingOptions{Scores: as(ScoresNameHalfCut), Style: &DrawingStyle{Cut: &LineStyle{Color: &red, Layer: &layer}}}},
		"cuts only": {Drawing: DrawingOptions{Layers: &DrawingLayers{OperationNameCut}}},
		"allowance": {ThicknessAllowance: &factor},
	}
}

func drawn(t *testing.T, example string, o PatternOptions, media string) []byte {
	t.Helper()
	p, doc := &Pipeline{}, exampleDocument(t, example)
	body, err := p.Pattern(t.Context(), doc, o, media)
	if err != nil {
		t.Fatal(err)
	}
	again, err := p.Pattern(t.Context(), doc, o, media)
	if err != nil || !bytes.Equal(body, again) {
		t.Errorf("not the same again (%v)", err)
	}
	return body
}

func saved(t *testing.T, name string, data []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// Two programs that share no code paint the same picture of a pattern, in every
// finish, within two dots at 96 to the inch. Words are left out: their fonts
// differ.
func TestPatternLooksTheSameElsewhere(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	chromium, wordless := outside.Program(t, "chromium"), DrawingLayers{OperationNameCut, OperationNameScoreMountain, OperationNameScoreValley, OperationNameGlue}
	for name, o := range finishes() {
		t.Run(name, func(t *testing.T) {
			if o.Drawing.Layers == nil {
				o.Drawing.Layers = &wordless
			}
			file := saved(t, "pattern.svg", drawn(t, "harbour", o, MediaSVG))
			said(t, "xmllint", "--noout", file)
			one := decoded(t, said(t, "rsvg-convert", "-d", "96", "-p", "96", "-b", "white", "-f", "png", file))
			size := one.Bounds().Size()
			shot := filepath.Join(t.TempDir(), "shot.png")
			command := exec.CommandContext(t.Context(), chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--user-data-dir="+t.TempDir(),
				"--window-size="+strconv.Itoa(size.X)+","+strconv.Itoa(size.Y), "--screenshot="+shot, file)
			if out, err := command.CombinedOutput(); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			data, err := os.ReadFile(shot)
			if err != nil {
				t.Fatal(err)
			}
			other := decoded(t, data)
			if a, b := strays(one, other), strays(other, one); a > 0.001 || b > 0.001 {
				t.Errorf("%.4f and %.4f of the ink has none near it in the other picture", a, b)
			}
		})
	}
}

func decoded(t *testing.T, data []byte) image.Image {
	t.Helper()
	picture, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return picture
}

// inked tells how far a dot is from white, 0 to 1.
func inked(p image.Image, x, y int) float64 {
	r, g, b, _ := p.At(x, y).RGBA()
	return 1 - float64(r+g+b)/(3*0xffff)
}

// strays is the share of the dark dots of a picture that have no ink within two
// dots in another.
func strays(a, b image.Image) float64 {
	dark, alone := 0, 0
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			if inked(a, x, y) < 0.3 {
				continue
			}
			dark++
			near := false
			for v := y - 2; v <= y+2 && !near; v++ {
				for u := x - 2; u <= x+2 && !near; u++ {
					near = image.Pt(u, v).In(b.Bounds()) && inked(b, u, v) > 0.1
				}
			}
			if !near {
				alone++
			}
		}
	}
	if dark == 0 {
		return 1 // nothing was painted
	}
	return float64(alone) / float64(dark)
}

// What ezdxf reads back of a pattern in every finish is as long, layer by layer,
// as what was drawn, and its audit finds nothing.
func TestPatternDXFReadsBack(t *testing.T) {
	outside.Program(t, "/usr/bin/python3")
	if exec.CommandContext(t.Context(), "/usr/bin/python3", "-c", "import ezdxf").Run() != nil {
		outside.Program(t, "ezdxf")
	}
	for name, o := range finishes() {
		t.Run(name, func(t *testing.T) {
			file := saved(t, "pattern.dxf", drawn(t, "harbour", o, MediaDXF))
			var r struct {
				Errors, Fixes []string
				Entities      []struct {
					Layer  string
					Length float64
				}
			}
			if err := json.Unmarshal(said(t, "/usr/bin/python3", "../solver/draw/testdata/read_dxf.py", file), &r); err != nil {
				t.Fatal(err)
			}
			if len(r.Errors)+len(r.Fixes) > 0 {
				t.Errorf("%v %v", r.Errors, r.Fixes)
			}
			got := map[string]float64{}
			for _, e := range r.Entities {
				got[e.Layer] += e.Length
			}
			doc := exampleDocument(t, "harbour")
			writer, err := o.Drawing.writer(doc.Design, MediaDXF)
			if err != nil {
				t.Fatal(err)
			}
			parts, _, err := (&Pipeline{}).allowed(t.Context(), doc, o)
			if err != nil {
				t.Fatal(err)
			}
			finished, err := parts.Finished("")
			if err != nil {
				t.Fatal(err)
			}
			want := map[draw.Operation]float64{}
			for i := range finished.Parts {
				for _, m := range finished.Parts[i].Marks {
					want[m.Op] += m.Path.Length()
				}
			}
			for _, op := range []draw.Operation{draw.Cut, draw.ScoreMountain, draw.ScoreValley} {
				length := want[op]
				if o.Drawing.Layers != nil && op != draw.Cut {
					length = 0
				}
				// A micrometre for each of some thousand pieces, and chords of curves.
				if layer := writer.styles[op].Layer; math.Abs(got[layer]-length) > 1e-4*length {
					t.Errorf("%s: %.3f mm read, %.3f drawn", layer, got[layer], length)
				}
			}
		})
	}
}

// Every finish is sound PDF, on paper too, and its scale bar is 50 mm long on
// the sheet: at 300 dots to the inch within one.
func TestPatternPDFInPixels(t *testing.T) {
	const dpi = 300
	name := PaperNameA4
	for what, o := range finishes() {
		t.Run(what, func(t *testing.T) {
			o.Drawing.Paper = &DrawingPaper{Name: &name}
			file := saved(t, "pattern.pdf", drawn(t, "harbour", o, MediaPDF))
			if out := string(said(t, "qpdf", "--check", file)); strings.Contains(out, "WARNING") {
				t.Error(out)
			}
			page := decoded(t, said(t, "pdftoppm", "-r", strconv.Itoa(dpi), "-f", "1", "-l", "1", "-png", file))
			size, short := page.Bounds().Size(), math.Min(210, 297)*dpi/25.4
			if math.Abs(float64(min(size.X, size.Y))-short) > 1.5 {
				t.Errorf("a sheet of %v dots", size)
			}
			longest := 0
			for y := size.Y * 4 / 5; y < size.Y; y++ { // the bar is among the notes
				run := 0
				for x := range size.X / 2 {
					if inked(page, x, y) > 0.9 {
						run++
						longest = max(longest, run)
					} else {
						run = 0
					}
				}
			}
			// From tick to tick, and half a tick of 0.2 mm at either end.
			if want := 50.2 * dpi / 25.4; math.Abs(float64(longest)-want) > 1.5 {
				t.Errorf("a scale bar of %d dots, want %.1f", longest, want)
			}
		})
	}
}
