package raster

import (
	"fmt"
	"image/color"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"foldwright/solver/geom"
)

// face is the font of all text.
var face = mustParse(goregular.TTF)

func mustParse(data []byte) *sfnt.Font {
	f, err := sfnt.Parse(data)
	if err != nil {
		panic(fmt.Sprintf("raster: the font cannot be read: %v", err)) // it is part of the program
	}
	return f
}

// fontUnits is the size glyphs are read at: large enough that rounding to 1/64
// of it does not show.
const fontUnits = 1024

// Anchor is which part of a text is at its point.
type Anchor uint8

const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text.
type Text struct {
	String string
	At     geom.Vec2 // on the base line, at the anchor
	Size   float64   // px
	Anchor Anchor
	// Up turns the text a quarter turn anticlockwise, to read from below.
	Up  bool
	Ink color.NRGBA
	// Halo is painted round the letters, HaloWidth px across in all.
	Halo      color.NRGBA
	HaloWidth float64
}

// Write paints a text.
func (c *Canvas) Write(t Text) {
	letters, width := glyphs(t.String, t.Size)
	shift := [...]float64{0, -width / 2, -width}[t.Anchor]
	box := geom.EmptyBox()
	for _, rings := range letters {
		for _, ring := range rings {
			for j, p := range ring {
				p.X += shift
				if t.Up {
					p = geom.Vec2{X: p.Y, Y: -p.X}
				}
				ring[j] = t.At.Add(p)
				box = box.Extend(ring[j])
			}
		}
	}
	if t.HaloWidth > 0 && !box.Empty() {
		// Letter by letter: the sides of all of them in one sweep would cost
		// the square of their number.
		m := c.NewMask(box.Grow(t.HaloWidth))
		for _, rings := range letters {
			lines := make([]Line, len(rings))
			for i, ring := range rings {
				lines[i] = Line{ring, true}
			}
			m.Add(strokeRings(lines, t.HaloWidth), NonZero)
		}
		c.FillMask(m, t.Halo)
	}
	for _, rings := range letters {
		c.Fill(rings, NonZero, t.Ink)
	}
}

// TextWidth is how long a text is, px.
func TextWidth(s string, size float64) float64 {
	var b sfnt.Buffer
	width := 0.0
	for _, r := range s {
		width += advance(&b, glyph(&b, r))
	}
	return width * size / fontUnits
}

// glyph is the index of the glyph of a rune; 0, the box for what is missing,
// where the font has none.
func glyph(b *sfnt.Buffer, r rune) sfnt.GlyphIndex {
	i, err := face.GlyphIndex(b, r)
	if err != nil {
		return 0
	}
	return i
}

func advance(b *sfnt.Buffer, i sfnt.GlyphIndex) float64 {
	a, err := face.GlyphAdvance(b, i, fixed.I(fontUnits), font.HintingNone)
	if err != nil {
		return 0
	}
	return float64(a) / 64
}

// glyphs outlines the letters of a text from the origin, and gives its width.
func glyphs(s string, size float64) (letters [][][]geom.Vec2, width float64) {
	var b sfnt.Buffer
	scale := size / fontUnits
	// The sagitta of a curve across half the size, split in n, is about
	// size/(16n²) px.
	n := max(2, int(math.Ceil(math.Sqrt(size/(16*roundness)))))
	for _, r := range s {
		i := glyph(&b, r)
		segments, err := face.LoadGlyph(&b, i, fixed.I(fontUnits), nil)
		if err != nil {
			segments = nil // a glyph without an outline is only its width
		}
		at := func(p fixed.Point26_6) geom.Vec2 {
			return geom.Vec2{X: width + scale*float64(p.X)/64, Y: scale * float64(p.Y) / 64}
		}
		var rings [][]geom.Vec2
		for _, g := range segments {
			last := len(rings) - 1
			switch g.Op {
			case sfnt.SegmentOpMoveTo:
				rings = append(rings, []geom.Vec2{at(g.Args[0])})
			case sfnt.SegmentOpLineTo:
				rings[last] = append(rings[last], at(g.Args[0]))
			case sfnt.SegmentOpQuadTo:
				rings[last] = appendQuad(rings[last], at(g.Args[0]), at(g.Args[1]), n)
			}
			// The font has quadratic curves only.
		}
		letters = append(letters, rings)
		width += scale * advance(&b, i)
	}
	return letters, width
}

func appendQuad(ring []geom.Vec2, control, to geom.Vec2, n int) []geom.Vec2 {
	from := ring[len(ring)-1]
	for k := 1; k <= n; k++ {
		t := float64(k) / float64(n)
		ring = append(ring, from.Lerp(control, t).Lerp(control.Lerp(to, t), t))
	}
	return ring
}
