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
	return writeSVG(w, func(s surface) error { return renderOn(s, a, p, o) })
}

// RenderPNG writes the picture of Render as PNG. Names are set in the font of
// package raster; nothing else differs.
func RenderPNG(w io.Writer, a *kinematics.Assembly, p *kinematics.Pose, o Options) error {
	return writePNG(w, &o, func(s surface) error { return renderOn(s, a, p, o) })
}

func renderOn(s surface, a *kinematics.Assembly, p *kinematics.Pose, o Options) error {
	o, err := o.resolved()
	if err != nil {
		return err
	}
	cut := newCutOut(a, o.Width, &o)
	pic := newPicture(cut, p, aim(o.Camera, a, []*kinematics.Pose{p}))
	if cut.watch.halted() {
		return cut.watch.err
	}
	m, height := fitAll([]*picture{pic}, float64(o.Width), &o)
	s.open(float64(o.Width), height, title(a, p.Drive.Opening), o.Background)
	pic.draw(s, m, &o, o.IDPrefix)
	s.close()
	return cut.watch.err
}

// fitPasses is how often the room for dimensions is worked out: their text has
// a size in px, so what it takes of the model's plane depends on the scale.
// Each pass leaves less than a third of the error of the one before.
const fitPasses = 4

// fitAll places pictures in frames of one width, all at one scale.
func fitAll(pictures []*picture, width float64, o *Options) (placing, float64) {
	box := geom.EmptyBox()
	var drawn []dimension
	for _, pic := range pictures {
		box = box.Union(pic.box)
		for _, mark := range o.Marks {
			box = box.Extend(pic.eye.project(mark.At))
		}
		drawn = append(drawn, pic.dimensions(o)...)
	}
	m, height := fit(box, width)
	if len(drawn) > 0 {
		for range fitPasses {
			room := box
			for i := range drawn {
				room = room.Union(drawn[i].box(m.scale))
			}
			m, height = fit(room, width)
		}
	}
	return m, height
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
		room:  geom.Box2{Max: geom.Vec2{X: width, Y: height}},
	}, height
}

// title is what a reader who cannot see the picture is told.
func title(a *kinematics.Assembly, opening geom.Angle) string {
	return name(a) + ", opened to " + degrees(opening)
}

func name(a *kinematics.Assembly) string {
	if a.Design.Title == "" {
		return "Spread"
	}
	return a.Design.Title
}

// degrees writes an angle to a tenth of a degree.
func degrees(a geom.Angle) string { return tenths(a.Degrees()) + "°" }

func tenths(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', -1, 64) // +0: no minus before a zero
}
