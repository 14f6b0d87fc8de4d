package view

import (
	"fmt"
	"io"
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/raster"
)

const maxCards = 144

// Card is one picture of a contact sheet: a design at driver values, and what is
// written below it.
type Card struct {
	Assembly *kinematics.Assembly
	Drive    kinematics.Drive
	Caption  string
}

// ContactSheet writes pictures of several designs in rows of one SVG, all before
// one eye and at one scale, so that they can be compared. o.Width is the width
// of the sheet; dimensions and marks belong to one design and are not drawn.
func ContactSheet(w io.Writer, title string, cards []Card, columns int, o Options) error {
	return writeSVG(w, func(s surface) error { return contactSheetOn(s, title, cards, columns, o) })
}

// ContactSheetPNG writes the sheet of ContactSheet as PNG.
func ContactSheetPNG(w io.Writer, title string, cards []Card, columns int, o Options) error {
	return writePNG(w, &o, func(s surface) error { return contactSheetOn(s, title, cards, columns, o) })
}

func contactSheetOn(s surface, title string, cards []Card, columns int, o Options) error {
	o.Dimensions, o.Marks = nil, nil
	o, err := o.resolved()
	if err != nil {
		return err
	}
	if len(cards) == 0 || len(cards) > maxCards {
		return &OptionError{"cards", fmt.Sprintf("must be 1 to %d", maxCards)}
	}
	if columns < 1 {
		return &OptionError{"columns", "must be at least 1"}
	}
	width := float64(o.Width) / float64(columns)
	frames, err := cardPictures(cards, &o, int(math.Ceil(width)))
	if err != nil {
		return err
	}
	m, height := fitAll(frames, width, &o)
	rows := (len(cards) + columns - 1) / columns
	captions := make([]label, len(frames))
	s.open(float64(o.Width), float64(rows)*(height+captionRoom), title, o.Background)
	for i, f := range frames {
		corner := geom.Vec2{X: float64(i%columns) * width, Y: float64(i/columns) * (height + captionRoom)}
		here := m
		here.at = here.at.Add(corner)
		here.room.Min, here.room.Max = here.room.Min.Add(corner), here.room.Max.Add(corner)
		f.draw(s, here, &o, fmt.Sprintf("%s-%d", o.IDPrefix, i))
		captions[i] = label{corner.Add(geom.Vec2{X: width / 2, Y: height + captionRoom/2}), cards[i].Caption}
	}
	s.write(&lettering{size: captionSize, ink: captionInk, anchor: raster.Middle}, captions)
	s.close()
	return frames[0].watch.err
}

// cardPictures makes the picture of each card before the eye that is clear of
// them all. They share one count of what is painted.
func cardPictures(cards []Card, o *Options, width int) ([]*picture, error) {
	poses := make([]*kinematics.Pose, len(cards))
	var e eye
	for i := range cards {
		a := cards[i].Assembly
		if err := checkDrives(a, []kinematics.Drive{cards[i].Drive}, "cards"); err != nil {
			return nil, err
		}
		poses[i] = a.NewPose()
		a.PoseInto(poses[i], cards[i].Drive)
		here := aim(o.Camera, a, poses[i:i+1])
		if i == 0 {
			e = here
		}
		e.distance = max(e.distance, here.distance)
	}
	out := make([]*picture, len(cards))
	common := &watch{stop: o.Stop}
	for i := range cards {
		cut := newCutOut(cards[i].Assembly, width, o)
		cut.watch = common
		if out[i] = newPicture(cut, poses[i], e); common.halted() {
			return nil, common.err
		}
	}
	return out, nil
}
