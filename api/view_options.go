package api

import (
	"errors"
	"fmt"
	"strings"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/view"
)

// ViewOptions say what a picture shows and how. Angles are in degrees, values
// of drivers in degrees or the design's units; nil is the default.
type ViewOptions struct {
	Opening            *float64 // left out, viewShare of what the spread opens to
	Drivers            []DriverSetting
	Viewpoint          string
	Azimuth, Elevation *float64 // instead of a named viewpoint
	Projection         string
	Width              *int
	Background         string
	Labels             bool
	Shadow             *bool // left out, with shadow
	Marks              bool  // of findings
	Dimensions         []string

	Animated bool
	Stages   *int   // of a strip of pictures
	Moves    string // the driver that moves in those; empty is the opening
}

// viewShare is how far a spread is opened for a picture, of what it opens to:
// wide enough to see into, and still plainly folded.
const viewShare = 5.0 / 6

const maxStages = 12

// camera places the eye.
func (o *ViewOptions) camera() (view.Camera, error) {
	c := view.Camera{Viewpoint: view.Viewpoint(o.Viewpoint), Projection: view.Projection(o.Projection)}
	if o.Azimuth == nil && o.Elevation == nil {
		if c.Viewpoint == view.Free {
			return c, &optionFault{"viewpoint", NotAllowed, "a free viewpoint needs azimuth or elevation"}
		}
		return c, nil
	}
	if c.Viewpoint != "" && c.Viewpoint != view.Free {
		return c, &optionFault{"viewpoint", NotAllowed, "not together with azimuth or elevation; give one or the other"}
	}
	c.Viewpoint = view.Free
	if o.Azimuth != nil {
		c.Azimuth = geom.Degrees(*o.Azimuth)
	}
	if o.Elevation != nil {
		c.Elevation = geom.Degrees(*o.Elevation)
	}
	return c, nil
}

// still is the driver values of a picture that does not move.
func (o *ViewOptions) still(a *kinematics.Assembly) (kinematics.Drive, error) {
	opening := viewShare * a.Design.Spread.OpensTo.Degrees()
	if o.Opening != nil {
		opening = *o.Opening
	}
	if err := checkOpening(opening, "opening"); err != nil {
		return kinematics.Drive{}, err
	}
	h, err := handOf(a, o.Drivers)
	if err != nil {
		return kinematics.Drive{}, err
	}
	return kinematics.Drive{Opening: geom.Degrees(opening), Hand: h.posed}, nil
}

// moving lists the driver values of pictures one after another, n of them. At
// soft ends the motion starts and stops slowly.
func (o *ViewOptions) moving(a *kinematics.Assembly, n int, pace func(float64) float64) ([]kinematics.Drive, error) {
	still, err := o.still(a)
	if err != nil {
		return nil, err
	}
	opens := o.Moves == "" || o.Moves == theOpening
	i := a.DriverIndex(o.Moves)
	switch {
	case opens && o.Opening != nil:
		return nil, &optionFault{"opening", NotAllowed, "not where the opening itself moves"}
	case !opens && i < 0:
		return nil, &optionFault{"moves", NotAllowed, "must be one of " + theOpening + ", " + driverList(a, "and nothing else: this design has no drivers")}
	}
	if !opens {
		for _, d := range o.Drivers {
			if d.ID == o.Moves {
				return nil, &optionFault{driverOption(d.ID), NotAllowed, "moves; leave it out"}
			}
		}
	}
	drives := make([]kinematics.Drive, n)
	for k := range drives {
		along := pace(float64(k) / float64(n-1))
		d := kinematics.Drive{Opening: still.Opening, Hand: append([]float64(nil), still.Hand...)}
		if opens {
			d.Opening = geom.Angle(along) * a.Design.Spread.OpensTo
		} else {
			d.Hand[i] = a.Drivers[i].Min*(1-along) + a.Drivers[i].Max*along
		}
		drives[k] = d
	}
	return drives, nil
}

// drawn is the options of the view package, but for the marks.
func (o *ViewOptions) drawn() (view.Options, error) {
	camera, err := o.camera()
	if err != nil {
		return view.Options{}, err
	}
	out := view.Options{Camera: camera, Shadow: orTrue(o.Shadow), Labels: o.Labels, Background: o.Background}
	if o.Width != nil {
		out.Width = *o.Width
	}
	for _, d := range o.Dimensions {
		out.Dimensions = append(out.Dimensions, view.Dimension(d))
	}
	return out, nil
}

// check refuses what does not go together.
func (o *ViewOptions) check(media string) error {
	switch {
	case o.Animated && o.Stages != nil:
		return &optionFault{"animated", NotAllowed, "not together with stages; give one or the other"}
	case o.Animated && media != MediaSVG:
		return &optionFault{"animated", NotAllowed, "only an SVG can move; ask for " + MediaSVG}
	case o.Moves != "" && !o.Animated && o.Stages == nil:
		return &optionFault{"moves", NotAllowed, "only in a picture that is animated or has stages"}
	case o.Stages != nil && (*o.Stages < 2 || *o.Stages > maxStages):
		return &optionFault{"stages", OutOfRange, fmt.Sprintf("must be from 2 to %d", maxStages)}
	}
	return nil
}

// viewFields are the options of a request by the fields of the view package.
var viewFields = strings.NewReplacer(
	"Camera.Viewpoint", "viewpoint", "Camera.Azimuth", "azimuth", "Camera.Elevation", "elevation",
	"Camera.Projection", "projection", "Width", "width", "Background", "background", "Dimensions", "dimensions",
)

// viewRefused turns an option the view package refuses into one of the request.
func viewRefused(err error) error {
	if refused, ok := errors.AsType[*view.OptionError](err); ok {
		return &optionFault{viewFields.Replace(refused.Option), OutOfRange, refused.Reason}
	}
	return err
}
