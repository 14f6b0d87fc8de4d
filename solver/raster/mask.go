package raster

import (
	"image"
	"image/color"
	"math"

	"foldwright/solver/geom"
)

// Mask is coverage by itself, from 0 to 1 a pixel, of a part of a canvas.
type Mask struct {
	rect image.Rectangle
	v    []float32
	rows sweep
}

// NewMask makes an empty mask of the part of the canvas within a box.
func (c *Canvas) NewMask(box geom.Box2) *Mask {
	rect := image.Rect(int(math.Floor(clamp(box.Min.X))), int(math.Floor(clamp(box.Min.Y))),
		int(math.Ceil(clamp(box.Max.X))), int(math.Ceil(clamp(box.Max.Y)))).Intersect(c.img.Rect)
	return &Mask{rect: rect, v: make([]float32, rect.Dx()*rect.Dy())}
}

// clamp keeps coordinates within what converts to an int on every machine.
func clamp(v float64) float64 { return min(max(v, -1<<30), 1<<30) }

// Add joins the inside of rings to the mask. Where edges of what is added
// differ in a pixel, the greater coverage counts.
func (m *Mask) Add(rings [][]geom.Vec2, rule Rule) {
	moved := make([][]geom.Vec2, len(rings))
	o := geom.Vec2{X: float64(m.rect.Min.X), Y: float64(m.rect.Min.Y)}
	for i, ring := range rings {
		moved[i] = make([]geom.Vec2, len(ring))
		for j, p := range ring {
			moved[i][j] = p.Sub(o)
		}
	}
	w := m.rect.Dx()
	m.rows.run(moved, rule, w, m.rect.Dy(), func(y, x0 int, coverage []float32) {
		row := m.v[y*w+x0:]
		for i, v := range coverage {
			row[i] = max(row[i], min(v, 1))
		}
	})
}

// Clip keeps only what is inside the rings, by the even-odd rule.
func (m *Mask) Clip(rings [][]geom.Vec2) {
	clipped := Mask{rect: m.rect, v: make([]float32, len(m.v))}
	clipped.Add(rings, EvenOdd)
	for i := range m.v {
		m.v[i] *= clipped.v[i]
	}
}

// boxes is how often a running mean is taken: three follow the bell of a
// Gaussian to a few per cent, as SVG allows for its blur too.
const boxes = 3

// Blur softens the mask as a Gaussian of the given standard deviation, px.
func (m *Mask) Blur(deviation float64) {
	// The variance of a mean over 2r+1 pixels is r(r+1)/3.
	r := int(math.Round((math.Sqrt(1+4*3*deviation*deviation/boxes) - 1) / 2))
	if r < 1 {
		return
	}
	w, h := m.rect.Dx(), m.rect.Dy()
	line := make([]float32, max(w, h))
	for range boxes {
		for y := range h {
			mean(m.v[y*w:], line[:w], 1, r)
		}
		for x := range w {
			mean(m.v[x:], line[:h], w, r)
		}
	}
}

// mean replaces every step-th value by the mean of those within r of it.
func mean(v, line []float32, step, r int) {
	for i := range line {
		line[i] = v[i*step]
	}
	sum := 0.0 // in double precision, or the running sum would drift
	at := func(i int) float64 {
		if i < 0 || i >= len(line) {
			return 0
		}
		return float64(line[i])
	}
	for i := -r; i < r; i++ {
		sum += at(i)
	}
	for i := range line {
		sum += at(i + r)
		v[i*step] = float32(max(sum, 0) / float64(2*r+1))
		sum -= at(i - r)
	}
}

// FillMask paints through a mask.
func (c *Canvas) FillMask(m *Mask, ink color.NRGBA) {
	w := m.rect.Dx()
	for y := m.rect.Min.Y; y < m.rect.Max.Y; y++ {
		at := c.img.PixOffset(m.rect.Min.X, y)
		for _, v := range m.v[(y-m.rect.Min.Y)*w:][:w] {
			if v > 0 {
				over(c.img.Pix[at:at+4:at+4], ink, v)
			}
			at += 4
		}
	}
}
