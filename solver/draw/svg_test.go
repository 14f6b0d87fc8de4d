package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/png"
	"io"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"foldwright/solver/geom"
	"foldwright/testdata/outside"
)

func svg(t testing.TB, d *Drawing, o SVGOptions) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteSVG(&b, d, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSVGGolden(t *testing.T) {
	golden(t, "harbour.svg", svg(t, harbour(t), SVGOptions{}))
	mono := MonochromeStyles()
	golden(t, "harbour_mono.svg", svg(t, harbour(t), SVGOptions{Styles: &mono}))
}

// svgFile is what the reader of the tests finds in a file.
type svgFile struct {
	width, height string
	viewBox       string
	ids           map[string]int
	groups        map[string]string // group id to stroke and dash
	measures      map[string]measure
	texts         map[string][]svgText
	commands      map[byte]int
}

type svgText struct {
	x, y, size float64
	turn       string
	anchor, s  string
}

func readSVG(t testing.TB, data []byte) svgFile {
	t.Helper()
	f := svgFile{ids: map[string]int{}, groups: map[string]string{}, measures: map[string]measure{}, texts: map[string][]svgText{}, commands: map[byte]int{}}
	dec := xml.NewDecoder(bytes.NewReader(data))
	var stack []string
	attrs := map[string]string{}
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			return f
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			attrs = map[string]string{}
			for _, a := range e.Attr {
				attrs[a.Name.Local] = a.Value
			}
			if id, ok := attrs["id"]; ok {
				f.ids[id]++
			}
			group := ""
			if len(stack) > 0 {
				group = stack[len(stack)-1]
			}
			switch e.Name.Local {
			case "svg":
				f.width, f.height, f.viewBox = attrs["width"], attrs["height"], attrs["viewBox"]
			case "g":
				group = attrs["id"]
				if op := attrs["data-operation"]; op != "" {
					f.groups[group] = attrs["stroke"] + "|" + attrs["stroke-dasharray"]
				}
			case "path":
				p, err := geom.ParsePath(attrs["d"])
				if err != nil {
					t.Fatalf("path in %s: %v", group, err)
				}
				f.measures[group] = f.measures[group].plus(measured(p))
				for _, c := range []byte("MLHVCQAZ") {
					f.commands[c] += strings.Count(attrs["d"], string(c))
				}
			}
			stack = append(stack, group)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
			attrs = map[string]string{}
		case xml.CharData:
			if s := string(e); attrs["font-size"] != "" {
				num := func(name string) float64 {
					v, err := strconv.ParseFloat(attrs[name], 64)
					if err != nil {
						t.Fatal(err)
					}
					return v
				}
				group := stack[len(stack)-1]
				f.texts[group] = append(f.texts[group], svgText{num("x"), num("y"), num("font-size"), attrs["transform"], attrs["text-anchor"], s})
			}
		}
	}
}

func TestSVGReadsBack(t *testing.T) {
	d := harbour(t)
	f := readSVG(t, svg(t, d, SVGOptions{}))
	if f.width != "180mm" || f.height != "120mm" || f.viewBox != "0 0 180 120" {
		t.Errorf("size %s by %s, view %s", f.width, f.height, f.viewBox)
	}
	for id, n := range f.ids {
		if n != 1 {
			t.Errorf("id %s occurs %d times", id, n)
		}
	}
	styles := DefaultStyles()
	groups := 0
	for i := range d.Parts {
		p := &d.Parts[i]
		if f.ids[p.ID] != 1 {
			t.Errorf("part %s has no group", p.ID)
		}
		for _, op := range Operations() {
			want := expected(p, op)
			id := p.ID + "-" + op.String()
			got := f.measures[id]
			// Four decimals move each vertex by at most 0.00007 mm.
			if got.contours != want.contours || got.closed != want.closed ||
				math.Abs(got.length-want.length) > 0.002 || math.Abs(got.area-want.area) > 1e-4*(1+want.length) {
				t.Errorf("%s: %+v, want %+v", id, got, want)
			}
			var words []string
			for _, text := range p.Texts {
				if text.Op == op {
					words = append(words, text.S)
				}
			}
			var read []string
			for _, text := range f.texts[id] {
				read = append(read, text.s)
			}
			if fmt.Sprint(words) != fmt.Sprint(read) {
				t.Errorf("%s: texts %q, want %q", id, read, words)
			}
			if want.contours+len(words) == 0 {
				if _, there := f.groups[id]; there {
					t.Errorf("%s is an empty group", id)
				}
				continue
			}
			groups++
			dash := strings.Trim(fmt.Sprint(styles[op].Dash), "[]")
			if f.groups[id] != styles[op].Color+"|"+dash {
				t.Errorf("%s: style %s", id, f.groups[id])
			}
		}
	}
	if groups != len(f.groups) {
		t.Errorf("%d operation groups, want %d", len(f.groups), groups)
	}
	if f.commands['C'] < 4 || f.commands['Q'] < 4 || f.commands['A'] < 10 {
		t.Errorf("curves must stay curves: %v", f.commands)
	}
	// In the file x starts at the box's left side, -10, and y runs down from
	// its top, 110.
	label := f.texts["page-label"][1]
	if label.x != 16 || label.y != 28 || label.turn != "" || math.Abs(label.size-2/capHeight) > 1e-4 {
		t.Errorf("label at (6, 82) reads %+v", label)
	}
	if turned := f.texts["page-label"][2]; turned.turn != "rotate(-90 57 96)" {
		t.Errorf("text that reads upwards must turn against SVG's clockwise sense: %+v", turned)
	}
}

func TestSVGWellFormed(t *testing.T) {
	xmllint := outside.Program(t, "xmllint")
	d := harbour(t)
	d.Title = "control \x01 and \uFFFE, \"quotes\", <tags>, é, 海"
	d.Parts[0].Desc = string([]byte{0xff, 'x'})
	cmd := exec.Command(xmllint, "--noout", "--nonet", "-")
	cmd.Stdin = bytes.NewReader(svg(t, d, SVGOptions{}))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}

// raster counts how much of the picture is dark, in mm², at 20 pixels a
// millimetre, and checks that the picture has its true size.
func raster(t *testing.T, data []byte, width, height float64) float64 {
	t.Helper()
	cmd := exec.Command(outside.Program(t, "rsvg-convert"), "-d", "508", "-p", "508", "-b", "white", "-f", "png")
	cmd.Stdin = bytes.NewReader(data)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	if math.Abs(float64(b.Dx())-20*width) > 1 || math.Abs(float64(b.Dy())-20*height) > 1 {
		t.Errorf("%d by %d pixels, want %g by %g: 508 dots an inch are 20 a millimetre", b.Dx(), b.Dy(), 20*width, 20*height)
	}
	sum := 0.0
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, _, _, _ := img.At(x, y).RGBA()
			sum += 1 - float64(r)/0xffff
		}
	}
	return sum / 400
}

// An independent renderer must see the same areas: outlines filled black.
func TestSVGAreaInPixels(t *testing.T) {
	for _, part := range harbour(t).Parts {
		area := 0.0
		for i, m := range part.Marks {
			if m.Op != Cut {
				part.Marks[i].Op = Registration // kept out of the file below
				continue
			}
			a := math.Abs(m.Path.Area()) * part.Place.Factor() * part.Place.Factor()
			if m.ID == "outline" {
				area += a
			} else {
				area -= a
			}
		}
		var cut geom.Path
		for _, m := range part.Marks {
			if m.Op == Cut {
				cut = append(cut, m.Path...)
			}
		}
		part.Marks, part.Texts = []Mark{{Op: Cut, Path: cut}}, nil
		d := &Drawing{Box: geom.Box2{Min: v(-10, -10), Max: v(170, 110)}, Parts: []Part{part}}
		data := string(svg(t, d, SVGOptions{}))
		data = strings.Replace(data, `fill="none" stroke="#16181d"`, `fill="#000" fill-rule="evenodd" stroke="none"`, 1)
		got := raster(t, []byte(data), 180, 120)
		// A grey pixel on the rim is good to a few per cent; over a rim of
		// some hundred millimetres that is well below a tenth of a mm².
		if math.Abs(got-area) > 0.1+2e-4*area {
			t.Errorf("%s: %.3f mm² of pixels, outline has %.3f", part.ID, got, area)
		}
	}
}
