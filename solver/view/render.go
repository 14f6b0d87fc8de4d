package view

import (
	"io"
	"math"
	"strconv"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// padding is the free rim of a picture, as a fraction of its width.
	padding = 0.035
	// narrowest and widest bound height to width of a picture, so that a shut
	// book seen edge-on is not blown up into a bar.
	narrowest = 0.4
	widest    = 1.25
)

// Render writes the picture of a pose as SVG. Mechanisms the pose does not
// reach are left out. The same input gives the same bytes.
func Render(w io.Writer, a *kinematics.Assembly, p *kinematics.Pose, o Options) error {
	o, err := o.resolved()
	if err != nil {
		return err
	}
	pic := newPicture(a, p, aim(o.Camera, a, []*kinematics.Pose{p}), o.Width)
	width := float64(o.Width)
	m, height := fit(pic.box, width)
	c := &canvas{}
	c.open(width, height, title(a, p.Drive.Opening), o.Background)
	pic.draw(c, m, &o, o.IDPrefix)
	c.close()
	_, err = w.Write(c.b)
	return err
}

// fit places a box in a picture of the given width and gives its height.
func fit(box geom.Box2, width float64) (placing, float64) {
	size := box.Size()
	shown := geom.Vec2{X: max(size.X, size.Y/widest), Y: max(size.Y, size.X*narrowest)}
	pad := math.Ceil(padding * width)
	scale := (width - 2*pad) / shown.X
	height := math.Ceil(scale*shown.Y + 2*pad)
	middle := box.Min.Lerp(box.Max, 0.5)
	return placing{
		scale: scale,
		lines: lineScale(width),
		at:    geom.Vec2{X: width/2 - scale*middle.X, Y: height/2 + scale*middle.Y},
	}, height
}

// title is what a reader who cannot see the picture is told.
func title(a *kinematics.Assembly, opening geom.Angle) string {
	t := a.Design.Title
	if t == "" {
		t = "Spread"
	}
	return t + ", opened to " + degrees(opening)
}

// degrees writes an angle to a tenth of a degree.
func degrees(a geom.Angle) string {
	return strconv.FormatFloat(math.Round(a.Degrees()*10)/10, 'f', -1, 64) + "°"
}
