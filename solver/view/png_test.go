package view

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"io"
	"os/exec"
	"strings"
	"testing"

	"foldwright/solver/geom"
	"foldwright/testdata/outside"
)

func decodePNG(t testing.TB, data []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// distance is the mean difference of two pictures of one size, 0 to 1, and the
// part of the pixels that differ clearly.
func distance(t testing.TB, a, b image.Image) (mean, clear float64) {
	t.Helper()
	if a.Bounds() != b.Bounds() {
		t.Fatalf("sizes %v and %v", a.Bounds(), b.Bounds())
	}
	size := a.Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			r, g, bl, _ := a.At(x, y).RGBA()
			r2, g2, b2, _ := b.At(x, y).RGBA()
			d := 0.0
			for _, v := range [3][2]uint32{{r, r2}, {g, g2}, {bl, b2}} {
				d += max(float64(v[0])-float64(v[1]), float64(v[1])-float64(v[0])) / 0xffff / 3
			}
			mean += d
			if d > 0.1 {
				clear++
			}
		}
	}
	n := float64(size.X * size.Y)
	return mean / n, clear / n
}

// The PNG shows what an independent renderer makes of the SVG. Only the
// anti-aliasing of edges and the tails of the shadows may differ.
func TestPNGIsThePictureOfTheSVG(t *testing.T) {
	rsvg := outside.Program(t, "rsvg-convert")
	a := compile(t, harbour)
	for _, opening := range []float64{0, 70, 110, 180} {
		o := Options{Shadow: true, Background: "#fff", Width: 800}
		var svg, own bytes.Buffer
		if err := errors.Join(Render(&svg, a, posed(a, opening), o), RenderPNG(&own, a, posed(a, opening), o)); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(rsvg)
		cmd.Stdin = &svg
		other, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		mean, clear := distance(t, decodePNG(t, own.Bytes()), decodePNG(t, other))
		if mean > 0.002 || clear > 0.001 {
			t.Errorf("at %g: mean difference %.4f, %.4f of the pixels clearly", opening, mean, clear)
		}
	}
}

// Names and captions are written, too.
func TestPNGHasText(t *testing.T) {
	a := compile(t, harbour)
	draw := func(o Options) image.Image {
		var b, again bytes.Buffer
		if err := errors.Join(RenderPNG(&b, a, posed(a, 110), o), RenderPNG(&again, a, posed(a, 110), o)); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(b.Bytes(), again.Bytes()) {
			t.Error("the same picture has different bytes the second time")
		}
		return decodePNG(t, b.Bytes())
	}
	_, clear := distance(t, draw(Options{Background: "#fff"}), draw(Options{Background: "#fff", Labels: true}))
	if clear < 0.002 {
		t.Errorf("names take %.4f of the picture", clear)
	}
	var b bytes.Buffer
	if err := StripPNG(&b, a, []geom.Angle{0, 1, 2}, Options{Width: 900, Background: "#fff"}); err != nil {
		t.Fatal(err)
	}
	row := decodePNG(t, b.Bytes())
	dark := 0
	for y := row.Bounds().Dy() - int(captionRoom); y < row.Bounds().Dy(); y++ {
		for x := range 900 {
			if r, _, _, _ := row.At(x, y).RGBA(); r < 0xa000 {
				dark++
			}
		}
	}
	if dark < 50 {
		t.Errorf("%d dark pixels in the captions", dark)
	}
}

// A picture without a background is transparent where there is no paper.
func TestPNGIsTransparent(t *testing.T) {
	a := compile(t, harbour)
	var b bytes.Buffer
	if err := RenderPNG(&b, a, posed(a, 110), Options{}); err != nil {
		t.Fatal(err)
	}
	img := decodePNG(t, b.Bytes())
	if _, _, _, alpha := img.At(0, 0).RGBA(); alpha != 0 {
		t.Errorf("the corner has alpha %d", alpha)
	}
	size := img.Bounds().Size()
	if _, _, _, alpha := img.At(size.X/2+40, size.Y/2).RGBA(); alpha != 0xffff {
		t.Errorf("the page has alpha %d", alpha)
	}
	if err := RenderPNG(io.Discard, a, posed(a, 110), Options{Width: MaxPNGWidth + 1}); err == nil || !strings.Contains(err.Error(), "Width") {
		t.Errorf("too wide: %v", err)
	}
}

func TestHexColour(t *testing.T) {
	for _, c := range []struct {
		s    string
		want rgb
	}{{"#fff", rgb{255, 255, 255}}, {"#1a2B3c", rgb{26, 43, 60}}, {"#07f", rgb{0, 119, 255}}} {
		if got := hexColour(c.s); got != c.want {
			t.Errorf("%s: %v, want %v", c.s, got, c.want)
		}
	}
}
