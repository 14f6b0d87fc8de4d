package raster

import (
	"image/color"
	"math"
	"slices"

	"foldwright/solver/geom"
)

// Line is a run of points; a closed one goes back to its start.
type Line struct {
	Points []geom.Vec2
	Closed bool
}

// roundness is how far the polygon of a round join may stray from its circle,
// px.
const roundness = 0.05

// Stroke paints lines of a width with round joins and ends. A dash gives
// lengths drawn and left out in turn, px; empty draws lines through.
func (c *Canvas) Stroke(lines []Line, width float64, ink color.NRGBA, dash []float64) {
	if len(dash) > 0 {
		lines = dashed(lines, dash)
	}
	c.Fill(strokeRings(lines, width), NonZero, ink)
}

// strokeRings outlines the lines: a rectangle along each side and a disc at
// each point, all turning the same way so that they add up by the non-zero
// rule.
func strokeRings(lines []Line, width float64) [][]geom.Vec2 {
	r := width / 2
	n := max(6, int(math.Ceil(math.Pi/math.Acos(max(0, 1-roundness/max(r, roundness))))))
	disc := make([]geom.Vec2, n)
	for i := range disc {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		disc[i] = geom.Vec2{X: r * cos, Y: r * sin}
	}
	var rings [][]geom.Vec2
	for _, line := range lines {
		for i, p := range line.Points {
			around := make([]geom.Vec2, n)
			for k, d := range disc {
				around[k] = p.Add(d)
			}
			rings = append(rings, around)
			if i+1 == len(line.Points) && !line.Closed {
				break
			}
			q := line.Points[(i+1)%len(line.Points)]
			across := q.Sub(p).Unit().Perp().Mul(r)
			if across == (geom.Vec2{}) {
				continue
			}
			rings = append(rings, []geom.Vec2{p.Sub(across), q.Sub(across), q.Add(across), p.Add(across)})
		}
	}
	return rings
}

// dashed breaks lines into the pieces that are drawn.
func dashed(lines []Line, dash []float64) []Line {
	var out []Line
	for _, line := range lines {
		points := line.Points
		if line.Closed && len(points) > 0 {
			points = append(slices.Clip(points), points[0])
		}
		if len(points) == 0 {
			continue
		}
		k, left, down := 0, dash[0], true
		piece := []geom.Vec2{points[0]}
		for i := 1; i < len(points); i++ {
			at, to := points[i-1], points[i]
			for {
				length := to.Sub(at).Norm()
				if length <= left {
					left -= length
					piece = append(piece, to)
					break
				}
				at = at.Lerp(to, left/length)
				piece = append(piece, at)
				if down {
					out = append(out, Line{Points: piece})
				}
				piece = []geom.Vec2{at}
				down = !down
				k = (k + 1) % len(dash)
				left = max(dash[k], 0.1) // a dash of no length would not get on
			}
		}
		if down && len(piece) > 1 {
			out = append(out, Line{Points: piece})
		}
	}
	return out
}
