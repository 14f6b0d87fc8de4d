package raster

import (
	"bytes"
	"image/color"
	"image/png"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

var black = color.NRGBA{A: 255}

// painted is the area of black on a white canvas, px².
func painted(c *Canvas) float64 {
	sum := 0.0
	for at := 3; at < len(c.img.Pix); at += 4 {
		sum += float64(c.img.Pix[at]) / 255
	}
	return sum
}

// The paint of a polygon is its area. Source: the shoelace formula. Sampling
// along y is exact for straight sides but where they start and end: an error of
// at most half a sampled row, 1/32 px, by the side's width; and each pixel is
// rounded to 1/255.
func TestFillKeepsAreas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Float64Range(1, 63)
		ring := make([]geom.Vec2, 3)
		for i := range ring {
			ring[i] = geom.Vec2{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
		}
		for _, rule := range []Rule{EvenOdd, NonZero} {
			c := New(64, 64)
			c.Fill([][]geom.Vec2{ring}, rule, black)
			want := math.Abs(geom.PolygonArea(ring))
			if got := painted(c); math.Abs(got-want) > 62.0/32+64*64*0.5/255/4 {
				t.Fatalf("rule %d: %.3f px² painted, want %.3f", rule, got, want)
			}
		}
	})
}

func TestRules(t *testing.T) {
	outer := []geom.Vec2{{X: 2, Y: 2}, {X: 22, Y: 2}, {X: 22, Y: 22}, {X: 2, Y: 22}}
	inner := []geom.Vec2{{X: 7, Y: 7}, {X: 17, Y: 7}, {X: 17, Y: 17}, {X: 7, Y: 17}}
	back := []geom.Vec2{inner[3], inner[2], inner[1], inner[0]}
	for _, c := range []struct {
		name  string
		rule  Rule
		inner []geom.Vec2
		want  float64
	}{
		{"a hole by the even-odd rule", EvenOdd, inner, 300},
		{"the same way round, no hole", NonZero, inner, 400},
		{"the other way round, a hole", NonZero, back, 300},
	} {
		k := New(24, 24)
		k.Fill([][]geom.Vec2{outer, c.inner}, c.rule, black)
		if got := painted(k); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %g px², want %g", c.name, got, c.want)
		}
	}
}

// Shapes that reach beyond the canvas are cut off at its edge.
func TestFillIsClipped(t *testing.T) {
	k := New(10, 10)
	k.Fill([][]geom.Vec2{{{X: -1e6, Y: -50}, {X: 5, Y: -50}, {X: 5, Y: 1e7}, {X: -1e6, Y: 1e7}}}, EvenOdd, black)
	if got := painted(k); math.Abs(got-50) > 1e-6 {
		t.Errorf("%g px², want 50", got)
	}
}

// Source: a line of length l and width w with round ends covers l·w + π(w/2)²;
// a closed square of side a, stroked, a frame of outer corners rounded:
// 4aw - w² + π(w/2)².
func TestStrokeAreas(t *testing.T) {
	square := []geom.Vec2{{X: 10, Y: 10}, {X: 40, Y: 10}, {X: 40, Y: 40}, {X: 10, Y: 40}}
	for _, c := range []struct {
		name string
		line Line
		w    float64
		dash []float64
		want float64
	}{
		{"a slanted line", Line{Points: []geom.Vec2{{X: 10, Y: 10}, {X: 40, Y: 50}}}, 4, nil, 50*4 + math.Pi*4},
		{"a frame", Line{Points: square, Closed: true}, 4, nil, 4*30*4 - 16 + 16 - 4 + math.Pi},
		{"a dashed line", Line{Points: []geom.Vec2{{X: 10, Y: 30}, {X: 50, Y: 30}}}, 2, []float64{6, 4}, 4 * (12 + math.Pi)},
	} {
		k := New(64, 64)
		k.Stroke([]Line{c.line}, c.w, black, c.dash)
		if got := painted(k); math.Abs(got-c.want) > 0.02*c.want {
			t.Errorf("%s: %.2f px², want %.2f", c.name, got, c.want)
		}
	}
}

// Blurring moves paint but does not make or lose any, spreads it by the
// deviation asked for, and leaves it centred.
func TestBlur(t *testing.T) {
	c := New(120, 120)
	m := c.NewMask(geom.Box2{Max: geom.Vec2{X: 120, Y: 120}})
	m.Add([][]geom.Vec2{{{X: 59, Y: 59}, {X: 60, Y: 59}, {X: 60, Y: 60}, {X: 59, Y: 60}}}, EvenOdd)
	m.Blur(6)
	sum, mean, square := 0.0, 0.0, 0.0
	for i, v := range m.v {
		x := float64(i%120) + 0.5
		sum += float64(v)
		mean += x * float64(v)
		square += (x - 59.5) * (x - 59.5) * float64(v)
	}
	if math.Abs(sum-1) > 1e-3 || math.Abs(mean/sum-59.5) > 1e-3 {
		t.Errorf("sum %g, mean %g", sum, mean/sum)
	}
	if deviation := math.Sqrt(square / sum); math.Abs(deviation-6) > 0.5 { // r is whole
		t.Errorf("deviation %g, want 6", deviation)
	}
}

func TestText(t *testing.T) {
	const word = "Lighthouse 42°"
	width := TextWidth(word, 20)
	extent := func(x Text) geom.Box2 {
		c := New(400, 400)
		c.Write(x)
		box := geom.EmptyBox()
		for y := range 400 {
			for x := range 400 {
				if c.img.RGBAAt(x, y).A > 0 {
					box = box.Extend(geom.Vec2{X: float64(x), Y: float64(y)})
				}
			}
		}
		return box
	}
	at := geom.Vec2{X: 200, Y: 200}
	for _, c := range []struct {
		anchor Anchor
		left   float64
	}{{Start, 200}, {Middle, 200 - width/2}, {End, 200 - width}} {
		box := extent(Text{String: word, At: at, Size: 20, Anchor: c.anchor, Ink: black})
		if math.Abs(box.Min.X-c.left) > 3 || math.Abs(box.Max.X-c.left-width) > 3 {
			t.Errorf("anchor %d: from %g to %g, want %g and %g px on", c.anchor, box.Min.X, box.Max.X, c.left, width)
		}
		if box.Max.Y < 200 || box.Min.Y < 180 || box.Min.Y > 190 {
			t.Errorf("anchor %d: from y %g to %g; the g hangs below the line and capitals stand on it", c.anchor, box.Min.Y, box.Max.Y)
		}
	}
	up := extent(Text{String: word, At: at, Size: 20, Up: true, Ink: black})
	if math.Abs(up.Max.Y-200) > 3 || math.Abs(up.Min.Y-200+width) > 3 {
		t.Errorf("upward text from y %g to %g", up.Min.Y, up.Max.Y)
	}
	plain, halo := New(200, 40), New(200, 40)
	plain.Write(Text{String: word, At: geom.Vec2{X: 10, Y: 25}, Size: 20, Ink: black})
	halo.Write(Text{String: word, At: geom.Vec2{X: 10, Y: 25}, Size: 20, Ink: black, Halo: color.NRGBA{255, 255, 255, 255}, HaloWidth: 4})
	if painted(halo) < 1.5*painted(plain) {
		t.Error("the halo does not show")
	}
}

func TestPNGReadsBack(t *testing.T) {
	c := New(20, 10)
	c.Clear(color.NRGBA{250, 240, 230, 255})
	c.Fill([][]geom.Vec2{{{X: 5, Y: 2}, {X: 15, Y: 2}, {X: 15, Y: 8}, {X: 5, Y: 8}}}, EvenOdd, color.NRGBA{200, 0, 0, 128})
	var a, b bytes.Buffer
	if err := c.WritePNG(&a); err != nil {
		t.Fatal(err)
	}
	if err := c.WritePNG(&b); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same image has different bytes")
	}
	img, err := png.Decode(&a)
	if err != nil {
		t.Fatal(err)
	}
	// Half of (200, 0, 0) over (250, 240, 230), by 128/255.
	r, g, _, _ := img.At(10, 5).RGBA()
	if r>>8 != 225 || g>>8 != 120 {
		t.Errorf("mixed to %d %d", r>>8, g>>8)
	}
	if r, g, b, _ := img.At(1, 1).RGBA(); r>>8 != 250 || g>>8 != 240 || b>>8 != 230 {
		t.Error("the background is not what it was painted")
	}
}
