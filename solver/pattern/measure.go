package pattern

import (
	"math"

	"foldwright/solver/geom"
)

// Area is the area of paper in the part, mm²: without its holes and slots.
func (p *Part) Area() float64 {
	area := math.Abs(p.Outline.Area()) - math.Abs(p.Holes.Area())
	for i := range p.Slots {
		area -= math.Abs(p.Slots[i].Path.Area())
	}
	return area
}

// CutLength is the length of all cuts, mm.
func (p *Part) CutLength() float64 {
	length := p.Outline.Length() + p.Holes.Length() + p.Cuts.Length()
	for i := range p.Slots {
		length += p.Slots[i].Path.Length()
	}
	return length
}

// CreaseLength is the length of all scores, mm.
func (p *Part) CreaseLength() float64 {
	length := 0.0
	for i := range p.Creases {
		length += p.Creases[i].Length()
	}
	return length
}

// Length of the score, mm.
func (c *Crease) Length() float64 { return c.To.Sub(c.From).Norm() }

// Bounds is the box around the paper of the part.
func (p *Part) Bounds() geom.Box2 { return p.Outline.Bounds() }

// Size is the width and height of the paper of the part.
func (p *Part) Size() geom.Vec2 { return p.Bounds().Size() }
