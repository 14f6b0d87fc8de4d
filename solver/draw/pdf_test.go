package draw

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"foldwright/solver/geom"
	"foldwright/testdata/outside"
)

func pdf(t testing.TB, d *Drawing, o PDFOptions) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WritePDF(&b, d, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func paper(t testing.TB, name string) *Paper {
	t.Helper()
	p, ok := FindPaper(name)
	if !ok {
		t.Fatalf("no paper %s", name)
	}
	return &p
}

// savedPDF puts a file where outside programs find it.
func savedPDF(t *testing.T, data []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "harbour.pdf")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func output(t *testing.T, program string, args ...string) string {
	t.Helper()
	out, err := exec.Command(outside.Program(t, program), args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v: %s", program, args, err, out)
	}
	return string(out)
}

func TestPDFGolden(t *testing.T) {
	golden(t, "harbour.pdf", pdf(t, harbour(t), PDFOptions{}))
	mono := MonochromeStyles()
	golden(t, "harbour_sheets.pdf", pdf(t, harbour(t), PDFOptions{Paper: paper(t, "A6"), Styles: &mono}))
}

// pdfPage is what the tests' own reader finds on a page: the paths of each
// layer in the drawing's coordinates.
type pdfPage struct {
	width, height float64 // mm
	layers        map[string]geom.Path
	styles        map[string]string
	shift         geom.Vec2 // of the drawing on the page, mm
	window        geom.Path
	cubics        int
}

var (
	pdfObject   = regexp.MustCompile(`(?s)(\d+) 0 obj\n(.*?)\nendobj\n`)
	pdfMediaBox = regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]`)
	pdfProperty = regexp.MustCompile(`/(L\d+) (\d+) 0 R`)
	pdfOCGName  = regexp.MustCompile(`/Type /OCG /Name \(([^)]*)\)`)
	pdfContents = regexp.MustCompile(`/Contents (\d+) 0 R`)
)

func readPDF(t testing.TB, data []byte) []pdfPage {
	t.Helper()
	objects := map[string]string{}
	var pages []string
	names := map[string]string{}
	for _, m := range pdfObject.FindAllSubmatch(data, -1) {
		objects[string(m[1])] = string(m[2])
		if bytes.Contains(m[2], []byte("/Type /Page ")) {
			pages = append(pages, string(m[2]))
		}
	}
	for _, body := range objects {
		if at := strings.Index(body, "/Properties <<"); at >= 0 {
			for _, m := range pdfProperty.FindAllStringSubmatch(body[at:], -1) {
				names[m[1]] = pdfOCGName.FindStringSubmatch(objects[m[2]])[1]
			}
		}
	}
	var out []pdfPage
	for _, body := range pages {
		p := pdfPage{layers: map[string]geom.Path{}, styles: map[string]string{}}
		box := pdfMediaBox.FindStringSubmatch(body)
		p.width, p.height = number(t, box[1])/pointsPerMM, number(t, box[2])/pointsPerMM
		content := objects[pdfContents.FindStringSubmatch(body)[1]]
		p.read(t, content[strings.Index(content, "stream\n")+7:], names)
		out = append(out, p)
	}
	return out
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func (p *pdfPage) read(t testing.TB, content string, names map[string]string) {
	var path geom.Path
	layer, color := "", ""
	scaled := 0
	for line := range strings.SplitSeq(content, "\n") {
		f := strings.Fields(line)
		if len(f) == 0 {
			continue
		}
		var v []float64
		for _, s := range f[:len(f)-1] {
			if n, err := strconv.ParseFloat(s, 64); err == nil {
				v = append(v, n)
			}
		}
		var c *geom.Contour
		if len(path) > 0 {
			c = &path[len(path)-1]
		}
		switch f[len(f)-1] {
		case "cm":
			scaled++
			if math.Abs(v[0]-72/25.4) > 1e-9 || v[0] != v[3] || v[1] != 0 || v[2] != 0 {
				t.Fatalf("matrix %v is not millimetres", v)
			}
			if scaled == 1 {
				p.shift = geom.Vec2{X: v[4] / v[0], Y: v[5] / v[0]}
			}
		case "re":
			p.window = geom.Rect(v[0], v[1], v[0]+v[2], v[1]+v[3])
		case "BDC":
			if f[0] == "/OC" {
				layer = names[f[1][1:]]
			}
		case "RG":
			color = fmt.Sprintf("#%02x%02x%02x", int(math.Round(v[0]*255)), int(math.Round(v[1]*255)), int(math.Round(v[2]*255)))
		case "d":
			p.styles[layer] = color + fmt.Sprint(v[:len(v)-1])
		case "m":
			path = append(path, geom.Contour{Start: geom.Vec2{X: v[0], Y: v[1]}})
		case "l":
			c.Segments = append(c.Segments, geom.Segment{Kind: geom.Line, To: geom.Vec2{X: v[0], Y: v[1]}})
		case "c":
			p.cubics++
			c.Segments = append(c.Segments, geom.Segment{Kind: geom.Cubic, C1: geom.Vec2{X: v[0], Y: v[1]}, C2: geom.Vec2{X: v[2], Y: v[3]}, To: geom.Vec2{X: v[4], Y: v[5]}})
		case "h":
			c.Closed = true
		case "S", "B*":
			p.layers[layer] = append(p.layers[layer], path...)
			path = nil
		}
	}
}

func TestPDFReadsBack(t *testing.T) {
	d := harbour(t)
	pages := readPDF(t, pdf(t, d, PDFOptions{}))
	if len(pages) != 1 {
		t.Fatalf("%d pages", len(pages))
	}
	p := pages[0]
	if math.Abs(p.width-180) > 1e-4 || math.Abs(p.height-120) > 1e-4 || p.shift.Sub(v(10, 10)).Norm() > 1e-9 {
		t.Errorf("page of %g by %g mm, drawing moved by %v", p.width, p.height, p.shift)
	}
	for op, s := range DefaultStyles() {
		var want measure
		for i := range d.Parts {
			want = want.plus(expected(&d.Parts[i], Operation(op)))
		}
		got := measured(p.layers[s.Layer])
		// A cubic may be off its arc by half a micrometre, a vertex by 0.00007.
		if got.contours != want.contours || got.closed != want.closed ||
			math.Abs(got.length-want.length) > 1e-4*(1+want.length) || math.Abs(got.area-want.area) > 6e-4*(1+want.length) {
			t.Errorf("%s: %+v, want %+v", s.Layer, got, want)
		}
		if look, ok := p.styles[s.Layer]; ok && look != s.Color+fmt.Sprint(append([]float64{}, s.Dash...)) {
			t.Errorf("%s looks like %s", s.Layer, look)
		}
	}
	if p.cubics < 30 {
		t.Errorf("%d curves: they must not become chords", p.cubics)
	}
}

// Every point of the cubics is within the stated error of the ellipse.
func TestPDFArcs(t *testing.T) {
	for _, s := range []string{
		"M10 0 A10 10 0 0 1 0 10", "M100 0 A100 100 0 0 0 -100 0", "M3 1 A7 2.5 30 1 1 5 4",
		"M0 0 A1 4 70 0 0 1 1", "M0 0 A500 20 10 1 0 80 3", "M0 0 A0.2 0.2 0 1 1 0.1 0",
	} {
		arc := path(t, s)
		var c pdfContent
		c.path(arc)
		page := pdfPage{layers: map[string]geom.Path{}}
		page.read(t, string(c.b)+"S\n", nil)
		got := page.layers[""]
		if d := got[0].End().Sub(arc[0].End()).Norm(); d > 1e-4 {
			t.Errorf("%s ends %g off", s, d)
		}
		rim := arc.Flatten(pdfArcError / 20)[0]
		worst := 0.0
		for _, q := range got.Flatten(pdfArcError)[0] { // points on the cubics
			near := math.Inf(1)
			for i := range len(rim) - 1 {
				near = min(near, geom.PointSegmentDistance(q, rim[i], rim[i+1]))
			}
			worst = max(worst, near)
		}
		if worst > pdfArcError*1.05+1e-4 {
			t.Errorf("%s: cubics are up to %.6f mm off", s, worst)
		}
		if math.Abs(got.Length()-arc.Length()) > 1e-3*(1+arc.Length()) {
			t.Errorf("%s: length %g, want %g", s, got.Length(), arc.Length())
		}
	}
}

func TestPDFSameBytes(t *testing.T) {
	o := PDFOptions{Paper: paper(t, "A5")}
	a, b := pdf(t, harbour(t), o), pdf(t, harbour(t), o)
	if !bytes.Equal(a, b) {
		t.Error("two runs differ")
	}
	if bytes.Contains(a, []byte("Date")) {
		t.Error("a file with the time in it differs from run to run")
	}
	d := harbour(t)
	d.Parts[0].Texts[0].S = "B"
	id := regexp.MustCompile(`/ID \[<\w+>`)
	if other := pdf(t, d, o); bytes.Equal(id.Find(a), id.Find(other)) || len(id.Find(a)) == 0 {
		t.Error("another drawing must have another identifier")
	}
}

// Sheets show every line: what windows show of a layer adds up, overlaps
// counted once, and neighbours' marks lie at the same place of the drawing.
func TestPDFSheets(t *testing.T) {
	d := harbour(t)
	whole := readPDF(t, pdf(t, d, PDFOptions{}))[0]
	pages := readPDF(t, pdf(t, d, PDFOptions{Paper: paper(t, "A6"), Margin: 8, Overlap: 12}))
	if len(pages) != 4 {
		t.Fatalf("%d pages", len(pages))
	}
	box := geom.EmptyBox()
	crosses := map[string]int{}
	for i, p := range pages {
		if math.Abs(p.width-148) > 1e-4 || math.Abs(p.height-105) > 1e-4 {
			t.Errorf("page %d: %g by %g mm", i+1, p.width, p.height)
		}
		w := p.window.Bounds()
		box = box.Union(w)
		if at := w.Min.Add(p.shift); at.X < 8-1e-4 || at.Y < 8 || w.Max.Add(p.shift).Y > 105-8+1e-4 {
			t.Errorf("page %d: window at %v reaches into the margin", i+1, at)
		}
		for layer, lines := range whole.layers {
			for _, c := range lines {
				if one := (geom.Path{c}); one.Bounds().Overlaps(w) && !hasContour(p.layers[layer], c) {
					t.Errorf("page %d lacks %s %s", i+1, layer, one)
				}
			}
		}
		for _, c := range p.layers[notesLayer] {
			a, b := c.Start.Sub(p.shift), c.End().Sub(p.shift)
			if l := b.Sub(a).Norm(); math.Abs(l-2*crossArm) < 1e-6 {
				crosses[fmt.Sprintf("%.2f %.2f %.2f", a.X, a.Y, b.X-a.X)]++
			}
		}
	}
	if box.Min.X > d.Box.Min.X || box.Min.Y > d.Box.Min.Y || box.Max.X < d.Box.Max.X || box.Max.Y < d.Box.Max.Y {
		t.Errorf("windows cover %v of %v", box, d.Box)
	}
	if a, b := pages[0].window.Bounds(), pages[1].window.Bounds(); math.Abs(a.Max.X-b.Min.X-12) > 1e-4 {
		t.Errorf("columns overlap by %g", a.Max.X-b.Min.X)
	}
	if a, b := pages[0].window.Bounds(), pages[2].window.Bounds(); math.Abs(b.Max.Y-a.Min.Y-12) > 1e-4 {
		t.Errorf("rows overlap by %g", b.Max.Y-a.Min.Y)
	}
	if len(crosses) != 4*2*2 { // four shared sides, two crosses, two lines
		t.Errorf("%d lines of crosses", len(crosses))
	}
	for at, n := range crosses {
		if n != 2 {
			t.Errorf("the cross at %s is on %d sheets", at, n)
		}
	}
}

func hasContour(p geom.Path, c geom.Contour) bool {
	for i := range p {
		if p[i].Start == c.Start && len(p[i].Segments) == len(c.Segments) && p[i].End() == c.End() {
			return true
		}
	}
	return false
}

func TestPDFRefuses(t *testing.T) {
	small := &Paper{Width: 60, Height: 70}
	rows := []struct {
		why, field string
		o          PDFOptions
		box        geom.Box2
	}{
		{"margin", "margin", PDFOptions{Margin: -1}, geom.Box2{}},
		{"overlap", "overlap", PDFOptions{Overlap: math.NaN()}, geom.Box2{}},
		{"paper without area", "paper", PDFOptions{Paper: &Paper{}}, geom.Box2{}},
		{"paper beyond a page", "paper", PDFOptions{Paper: &Paper{Width: 100, Height: 6000}}, geom.Box2{}},
		{"no room for the bar", "paper", PDFOptions{Paper: small}, geom.Box2{}},
		{"margins meet", "paper", PDFOptions{Paper: paper(t, "A6"), Margin: 45}, geom.Box2{}},
		{"overlap as wide as the window", "paper", PDFOptions{Paper: paper(t, "A6"), Overlap: 140}, geom.Box2{}},
		{"too many sheets", "paper", PDFOptions{Paper: paper(t, "A6")}, geom.Box2{Max: v(5000, 5000)}},
		{"six metres on one page", "paper", PDFOptions{}, geom.Box2{Max: v(6000, 40)}},
	}
	for _, r := range rows {
		d := harbour(t)
		if r.box != (geom.Box2{}) {
			d.Box = r.box
		}
		var bad *OptionError
		if err := WritePDF(discard{}, d, r.o); !errors.As(err, &bad) || bad.Field != r.field {
			t.Errorf("%s: %v", r.why, err)
		}
	}
	narrow := harbour(t)
	narrow.Box = geom.Box2{Max: v(40, 40)}
	if err := WritePDF(discard{}, narrow, PDFOptions{Notes: true}); err != nil {
		t.Errorf("a box narrower than the bar: %v", err)
	}
	d := harbour(t)
	var drawing *Error
	d.Parts[1].ID = "page"
	if err := WritePDF(discard{}, d, PDFOptions{}); !errors.As(err, &drawing) {
		t.Errorf("two parts of one id: %v", err)
	}
	styles := DefaultStyles()
	styles[Cut].Color = "black"
	var faults StyleErrors
	if err := WritePDF(discard{}, harbour(t), PDFOptions{Styles: &styles}); !errors.As(err, &faults) {
		t.Errorf("a colour by name: %v", err)
	}
	if err := WritePDF(full{}, harbour(t), PDFOptions{}); !errors.Is(err, errFull) {
		t.Errorf("full disk: %v", err)
	}
	if WritePDF(short{}, harbour(t), PDFOptions{}) == nil {
		t.Error("a short write must be an error")
	}
}

// Landscape and portrait are chosen for the fewest sheets.
func TestPDFOrientation(t *testing.T) {
	d := harbour(t) // 180 by 120
	rows := []struct {
		o          Orientation
		pages      int
		wide, high float64
	}{
		{AutoOrientation, 1, 210, 297}, // fits either way: upright
		{Portrait, 1, 210, 297},
		{Landscape, 1, 297, 210},
	}
	for _, r := range rows {
		p := readPDF(t, pdf(t, d, PDFOptions{Paper: paper(t, "A4"), Orientation: r.o}))
		if len(p) != r.pages || math.Abs(p[0].width-r.wide) > 1e-3 || math.Abs(p[0].height-r.high) > 1e-3 {
			t.Errorf("%d: %d pages of %g by %g", r.o, len(p), p[0].width, p[0].height)
		}
	}
	d.Box.Max.X = 250
	if p := readPDF(t, pdf(t, d, PDFOptions{Paper: paper(t, "A4")})); len(p) != 1 || p[0].width < p[0].height {
		t.Errorf("260 mm fit on one sheet across, not on %d", len(p))
	}
	if p := readPDF(t, pdf(t, d, PDFOptions{Paper: paper(t, "A4"), Orientation: Portrait})); len(p) != 2 {
		t.Errorf("upright it takes two sheets, not %d", len(p))
	}
}

func TestPDFCheckedByOthers(t *testing.T) {
	outside.Program(t, "qpdf")
	d := harbour(t)
	d.Title = "Häfen (am Morgen) \\ 港"
	d.Parts[0].Texts[1].S = "Bến tàu, Łódź, žluťoučký, ơ ệ ǿ, ﬁn"
	for _, o := range []PDFOptions{{}, {Notes: true}, {Paper: paper(t, "A6")}, {Paper: paper(t, "SRA3"), Orientation: Landscape}} {
		file := savedPDF(t, pdf(t, d, o))
		if out := output(t, "qpdf", "--check", file); !strings.Contains(out, "No syntax or stream encoding errors found") || strings.Contains(out, "WARNING") {
			t.Errorf("%+v: %s", o, out)
		}
		listed := output(t, "qpdf", "--json=2", "--json-key=qpdf", file)
		for op, s := range DefaultStyles() {
			if n := strings.Count(listed, `"/Name": "u:`+s.Layer+`"`); n != 1 {
				t.Errorf("%d layers for %s", n, Operation(op))
			}
		}
		if n := strings.Count(listed, `"/Type": "/OCG"`); n != int(operationCount) && n != int(operationCount)+1 {
			t.Errorf("%d layers", n)
		}
	}
}

func TestPDFSizeAndWords(t *testing.T) {
	outside.Program(t, "pdfinfo")
	d := harbour(t)
	d.Title = "Häfen (am Morgen) \\ 港"
	// Letters the font has, and letters set from pieces: Vietnamese and others.
	words := "Höhe 30 mm: Łódź, žluťoučký, şerefe, Bến tàu nhộn nhịp, ơ ǟ ṣ ḥ"
	d.Parts[0].Texts[1].S = words
	size := regexp.MustCompile(`Page +\d+ size: +([\d.]+) x ([\d.]+) pts`)
	for _, r := range []struct {
		o          PDFOptions
		pages      int
		wide, high float64
	}{
		{PDFOptions{}, 1, 180, 120},
		{PDFOptions{Paper: paper(t, "A5")}, 2, 148, 210},
		{PDFOptions{Paper: paper(t, "A6")}, 4, 148, 105},
		{PDFOptions{Paper: &Paper{Width: 300, Height: 200}}, 1, 200, 300},
	} {
		file := savedPDF(t, pdf(t, d, r.o))
		info := output(t, "pdfinfo", "-l", "99", file)
		if !strings.Contains(info, d.Title) {
			t.Errorf("no title in %s", info)
		}
		found := size.FindAllStringSubmatch(info, -1)
		if len(found) != r.pages {
			t.Errorf("%d pages, want %d: %s", len(found), r.pages, info)
		}
		for _, f := range found {
			if math.Abs(number(t, f[1])/pointsPerMM-r.wide) > 0.1 || math.Abs(number(t, f[2])/pointsPerMM-r.high) > 0.1 {
				t.Errorf("page of %s by %s pt, want %g by %g mm", f[1], f[2], r.wide, r.high)
			}
		}
		text := output(t, "pdftotext", file, "-")
		want := []string{words, "gutter", "page.right", "lamp", "gull"}
		if r.o.Paper != nil {
			want = append(want, scaleBarWords, "Local rules and the maker's instructions come first.", d.Title)
			if strings.Count(text, scaleBarWords) != r.pages {
				t.Errorf("the scale bar must be on every sheet: %s", text)
			}
		}
		if r.pages == 4 {
			want = append(want, "row 2 of 2, column 1 of 2", "row 1 of 2, column 2 of 2", "joins row 2, column 2")
			want = want[1:] // the long line is cut by the edge of its sheet
		}
		for _, w := range want {
			if !strings.Contains(strings.Join(strings.Fields(text), " "), w) {
				t.Errorf("%q is not in %q", w, text)
			}
		}
	}
	if fonts := output(t, "pdffonts", savedPDF(t, pdf(t, d, PDFOptions{}))); !strings.Contains(fonts, "CID TrueType") || !regexp.MustCompile(`( yes){3}`).MatchString(fonts) {
		t.Errorf("font must be embedded, a subset, and lead back to Unicode: %s", fonts)
	}
}

// pixels paints one page with an independent program.
func pixels(t *testing.T, data []byte, dpi, page int) image.Image {
	t.Helper()
	cmd := exec.Command(outside.Program(t, "pdftoppm"), "-r", strconv.Itoa(dpi), "-png", "-singlefile", "-f", strconv.Itoa(page), savedPDF(t, data))
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func dark(img image.Image, x, y int) float64 {
	r, g, b, _ := img.At(x, y).RGBA()
	return 1 - float64(r+g+b)/(3*0xffff)
}

// PDF and SVG of a drawing look the same to two independent renderers. Words
// are left out: SVG leaves their font to the reader.
func TestPDFLooksLikeSVG(t *testing.T) {
	d := harbour(t)
	for i := range d.Parts {
		d.Parts[i].Texts = nil
	}
	got := pixels(t, pdf(t, d, PDFOptions{}), 254, 1) // ten dots a millimetre
	cmd := exec.Command(outside.Program(t, "rsvg-convert"), "-d", "254", "-p", "254", "-b", "white", "-f", "png")
	cmd.Stdin = bytes.NewReader(svg(t, d, SVGOptions{}))
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	want, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	if a, b := got.Bounds(), want.Bounds(); a.Dx() != b.Dx() || a.Dy() != b.Dy() {
		t.Fatalf("%v and %v", a, b)
	}
	ink, other, difference := 0.0, 0.0, 0.0
	for y := range got.Bounds().Dy() {
		for x := range got.Bounds().Dx() {
			a, b := dark(got, x, y), dark(want, x, y)
			ink, other, difference = ink+a, other+b, difference+math.Abs(a-b)
		}
	}
	// Lines are two or three dots wide, and programs place their rims
	// differently by a part of a dot.
	if math.Abs(ink-other) > 0.02*other || difference > 0.15*other {
		t.Errorf("ink %.0f and %.0f, differing by %.0f dots", ink, other, difference)
	}
	t.Logf("ink %.0f and %.0f, differing by %.0f dots", ink, other, difference)
	// A shift of half a millimetre must not pass.
	moved := 0.0
	for y := range got.Bounds().Dy() {
		for x := 5; x < got.Bounds().Dx(); x++ {
			moved += math.Abs(dark(got, x-5, y) - dark(want, x, y))
		}
	}
	if moved < 8*difference {
		t.Errorf("a shifted page differs by %.0f only: the comparison sees nothing", moved)
	}
}

func TestPDFScaleBarInPixels(t *testing.T) {
	const dpi = 600
	d := harbour(t)
	o := PDFOptions{Paper: paper(t, "A5")}
	p := pdfWriter{d: d, o: o, styles: DefaultStyles(), file: newPDFFile(), font: newPDFFont(Regular)}
	if err := p.layOut(); err != nil {
		t.Fatal(err)
	}
	img := pixels(t, pdf(t, d, o), dpi, 2)
	// A row through the outer ticks, above those of the tens.
	y := img.Bounds().Dy() - int((p.notes.bar.Y+0.9)*dpi/25.4)
	first, last := -1, -1
	for x := range int((p.notes.bar.X + 52) * dpi / 25.4) {
		if dark(img, x, y) > 0.5 {
			if first < 0 {
				first = x
			}
			last = x
		}
	}
	// Both ticks are as wide, so outer rim to outer rim is 50 mm and a tick.
	if got := float64(last+1-first)*25.4/dpi - barWidth; first < 0 || math.Abs(got-50) > 0.06 {
		t.Errorf("the bar measures %.3f mm", got)
	}
}

// Drawings of different sizes in one file, each on a page of its own.
func TestPDFPages(t *testing.T) {
	outside.Program(t, "pdfinfo")
	wide, high := harbour(t), harbour(t)
	wide.Title, high.Title = "First", "Second"
	high.Box = geom.Box2{Max: geom.Vec2{X: 297, Y: 420}}
	var out bytes.Buffer
	if err := WritePDFPages(&out, []*Drawing{wide, high}, PDFOptions{}); err != nil {
		t.Fatal(err)
	}
	info := output(t, "pdfinfo", "-l", "99", savedPDF(t, out.Bytes()))
	for _, want := range []string{"First", "Pages:           2", "510.236 x 340.157", "841.89 x 1190.55"} { // 180 by 120 and 297 by 420 mm, 72 to 25.4
		if !strings.Contains(info, want) {
			t.Errorf("no %q in %s", want, info)
		}
	}
	if err := WritePDFPages(&out, nil, PDFOptions{}); err == nil {
		t.Error("a file of no pages is written")
	}
}
