package view

import (
	"fmt"
	"io"
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	maxFrames   = 60
	captionSize = 12.0 // px
	captionRoom = 24.0 // px below each frame
)

// Strip writes a row of pictures of a design at several openings as one SVG,
// all at one scale and on one ground line, with the opening below each.
// o.Width is the width of the whole row. Mechanisms move by the opening alone.
func Strip(w io.Writer, a *kinematics.Assembly, openings []geom.Angle, o Options) error {
	o, err := o.resolved()
	if err != nil {
		return err
	}
	if len(openings) == 0 || len(openings) > maxFrames {
		return &OptionError{"openings", fmt.Sprintf("must be 1 to %d", maxFrames)}
	}
	poses := make([]*kinematics.Pose, len(openings))
	for i, t := range openings {
		if !finite(float64(t)) {
			return &OptionError{"openings", "must be finite angles"}
		}
		poses[i] = a.NewPose()
		a.PoseInto(poses[i], kinematics.Drive{Opening: t})
	}
	e := aim(o.Camera, a, poses)
	frames := make([]*picture, len(poses))
	box := geom.EmptyBox()
	width := float64(o.Width) / float64(len(frames))
	for i, p := range poses {
		frames[i] = newPicture(a, p, e, int(math.Ceil(width)))
		box = box.Union(frames[i].box)
	}
	m, height := fit(box, width)

	c := &canvas{}
	c.open(float64(o.Width), height+captionRoom, stripTitle(a, openings), o.Background)
	for i, f := range frames {
		here := m
		here.at.X += float64(i) * width
		f.draw(c, here, &o, fmt.Sprintf("%s-%d", o.IDPrefix, i))
		c.textf(`<text font-family="sans-serif" font-size="%g" text-anchor="middle" fill="`, captionSize)
		c.colour(captionInk)
		c.text(`" x="`)
		c.number((float64(i) + 0.5) * width)
		c.text(`" y="`)
		c.number(height + captionRoom/2)
		c.text(`">` + degrees(openings[i]) + "</text>\n")
	}
	c.close()
	_, err = w.Write(c.b)
	return err
}

func stripTitle(a *kinematics.Assembly, openings []geom.Angle) string {
	if len(openings) == 1 {
		return title(a, openings[0])
	}
	return title(a, openings[0]) + " to " + degrees(openings[len(openings)-1])
}
