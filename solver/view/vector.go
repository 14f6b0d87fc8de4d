package view

import (
	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/raster"
)

// Draw gives the picture of Render as shapes, for documents that set it among
// words. It has no shadows, and plates behind words instead of halos.
func Draw(a *kinematics.Assembly, p *kinematics.Pose, o Options) (*draw.Picture, error) {
	o.Shadow = false
	v := &vectors{}
	if err := renderOn(v, a, p, o); err != nil {
		return nil, err
	}
	return &v.Picture, nil
}

// vectors collects shapes. It is a surface.
type vectors struct {
	draw.Picture
	edges float64
}

func (v *vectors) open(width, height float64, title, background string) {
	v.Width, v.Height, v.Title = width, height, title
	if background != "" {
		v.plate(geom.Box2{Max: geom.Vec2{X: width, Y: height}}, background)
	}
}

func (v *vectors) plate(box geom.Box2, fill string) {
	v.Shapes = append(v.Shapes, draw.Shape{Fill: fill, Lines: []draw.Polyline{{Closed: true, Points: []geom.Vec2{
		box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y},
	}}}})
}

func (v *vectors) close() {}

func (v *vectors) beginPaper(edges float64) { v.edges = edges }

func (v *vectors) endPaper() {}

func (v *vectors) beginSheet(string, string) {}

func (v *vectors) endSheet() {}

func (v *vectors) fill(rings [][]geom.Vec2, ink rgb) {
	shape := draw.Shape{Fill: ink.hex()}
	for _, ring := range rings {
		shape.Lines = append(shape.Lines, draw.Polyline{Points: ring, Closed: true})
	}
	v.Shapes = append(v.Shapes, shape)
}

func (v *vectors) stroke(lines []raster.Line, ink rgb, width float64) {
	if width == 0 {
		width = v.edges
	}
	shape := draw.Shape{Stroke: ink.hex(), Width: width}
	for _, l := range lines {
		shape.Lines = append(shape.Lines, draw.Polyline(l))
	}
	v.Shapes = append(v.Shapes, shape)
}

func (v *vectors) shadow(string, [][]geom.Vec2, [][][]geom.Vec2, float64) {}

func (v *vectors) write(how *lettering, texts []label) {
	for _, t := range texts {
		if how.halo {
			wide := raster.TextWidth(t.text, how.size)
			left := t.at.X - wide*[...]float64{raster.Start: 0, raster.Middle: 0.5, raster.End: 1}[how.anchor]
			v.plate(geom.Box2{
				Min: geom.Vec2{X: left - haloWidth/2, Y: t.at.Y - 2*toFoot*how.size - haloWidth},
				Max: geom.Vec2{X: left + wide + haloWidth/2, Y: t.at.Y + haloWidth},
			}, "#ffffff")
		}
		v.Shapes = append(v.Shapes, draw.Shape{Words: &draw.Words{S: t.text, At: t.at, Size: how.size, Anchor: draw.Anchor(how.anchor), Ink: how.ink.hex()}})
	}
}
