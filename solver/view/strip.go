package view

import (
	"fmt"
	"io"
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/raster"
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
	return writeSVG(w, func(s surface) error { return stripOn(s, a, byOpening(openings), "openings", o) })
}

// StripPNG writes the row of Strip as PNG.
func StripPNG(w io.Writer, a *kinematics.Assembly, openings []geom.Angle, o Options) error {
	return writePNG(w, &o, func(s surface) error { return stripOn(s, a, byOpening(openings), "openings", o) })
}

// StripDrives is Strip at any driver values. Below each picture stands the
// value that changes most along the row, of its range.
func StripDrives(w io.Writer, a *kinematics.Assembly, drives []kinematics.Drive, o Options) error {
	return writeSVG(w, func(s surface) error { return stripOn(s, a, drives, "drives", o) })
}

// StripDrivesPNG writes the row of StripDrives as PNG.
func StripDrivesPNG(w io.Writer, a *kinematics.Assembly, drives []kinematics.Drive, o Options) error {
	return writePNG(w, &o, func(s surface) error { return stripOn(s, a, drives, "drives", o) })
}

func byOpening(openings []geom.Angle) []kinematics.Drive {
	drives := make([]kinematics.Drive, len(openings))
	for i, t := range openings {
		drives[i].Opening = t
	}
	return drives
}

func stripOn(s surface, a *kinematics.Assembly, drives []kinematics.Drive, option string, o Options) error {
	o, err := o.resolved()
	if err != nil {
		return err
	}
	if len(drives) == 0 || len(drives) > maxFrames {
		return &OptionError{option, fmt.Sprintf("must be 1 to %d", maxFrames)}
	}
	if err := checkDrives(a, drives, option); err != nil {
		return err
	}
	width := float64(o.Width) / float64(len(drives))
	frames, err := pictures(a, drives, &o, int(math.Ceil(width)))
	if err != nil {
		return err
	}
	m, height := fitAll(frames, width, &o)

	captions := make([]label, len(frames))
	mover := moverOf(a, drives)
	s.open(float64(o.Width), height+captionRoom, moveTitle(a, drives, mover), o.Background)
	for i, f := range frames {
		left := geom.Vec2{X: float64(i) * width}
		here := m
		here.at = here.at.Add(left)
		here.room.Min, here.room.Max = here.room.Min.Add(left), here.room.Max.Add(left)
		f.draw(s, here, &o, fmt.Sprintf("%s-%d", o.IDPrefix, i))
		captions[i] = label{geom.Vec2{X: left.X + width/2, Y: height + captionRoom/2}, valueOf(a, &drives[i], mover)}
	}
	s.write(&lettering{size: captionSize, ink: captionInk, anchor: raster.Middle}, captions)
	s.close()
	return frames[0].watch.err
}

// pictures makes one picture for each drive, all before one eye.
func pictures(a *kinematics.Assembly, drives []kinematics.Drive, o *Options, width int) ([]*picture, error) {
	poses := make([]*kinematics.Pose, len(drives))
	for i, drive := range drives {
		poses[i] = a.NewPose()
		a.PoseInto(poses[i], drive)
	}
	e := aim(o.Camera, a, poses)
	cut := newCutOut(a, width, o)
	out := make([]*picture, len(poses))
	for i, p := range poses {
		if out[i] = newPicture(cut, p, e); cut.watch.halted() {
			return nil, cut.watch.err
		}
	}
	return out, nil
}

func checkDrives(a *kinematics.Assembly, drives []kinematics.Drive, option string) error {
	for i := range drives {
		if !finite(float64(drives[i].Opening)) {
			return &OptionError{option, "must be finite angles"}
		}
		if h := drives[i].Hand; h != nil && len(h) != len(a.Drivers) {
			return &OptionError{option, fmt.Sprintf("must have a value for each of the %d drivers", len(a.Drivers))}
		}
		for _, v := range drives[i].Hand {
			if !finite(v) {
				return &OptionError{option, "must have finite values"}
			}
		}
	}
	return nil
}

// theOpening stands for the opening among the things that move a design, whose
// others are numbers of drivers.
const theOpening = -1

// moverOf is what changes most between the drives, as a fraction of its range.
func moverOf(a *kinematics.Assembly, drives []kinematics.Drive) int {
	mover := theOpening
	most := rangeOf(drives, func(d *kinematics.Drive) float64 { return float64(d.Opening) }) / math.Pi
	rest := a.Rest()
	for i := range a.Drivers {
		d := &a.Drivers[i]
		change := rangeOf(drives, func(x *kinematics.Drive) float64 {
			if x.Hand == nil {
				return rest[i]
			}
			return x.Hand[i]
		}) / (d.Max - d.Min)
		if change > most {
			mover, most = i, change
		}
	}
	return mover
}

func rangeOf(drives []kinematics.Drive, value func(*kinematics.Drive) float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range drives {
		v := value(&drives[i])
		low, high = min(low, v), max(high, v)
	}
	return high - low
}

// valueOf writes the value a drive gives to what moves the design.
func valueOf(a *kinematics.Assembly, d *kinematics.Drive, mover int) string {
	if mover == theOpening {
		return degrees(d.Opening)
	}
	v := a.Drivers[mover].Rest
	if d.Hand != nil {
		v = d.Hand[mover]
	}
	if a.Drivers[mover].Quantity == design.Degrees {
		return degrees(geom.Angle(v))
	}
	return lengthText(a, v)
}

func moveTitle(a *kinematics.Assembly, drives []kinematics.Drive, mover int) string {
	what := "opened to"
	if mover != theOpening {
		what = a.Drivers[mover].ID
	}
	t := name(a) + ", " + what + " " + valueOf(a, &drives[0], mover)
	if len(drives) > 1 {
		t += " to " + valueOf(a, &drives[len(drives)-1], mover)
	}
	return t
}
