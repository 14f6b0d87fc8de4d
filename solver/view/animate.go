package view

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// AnimateOptions say how a moving picture is drawn.
type AnimateOptions struct {
	Options
	// From and To are the openings between which the book moves. When both are
	// 0, it opens from shut as far as the spread does.
	From, To geom.Angle
	// Still is the opening of the picture that stands still, where motion is
	// not wanted or cannot be shown; the nearest frame is taken. 0 is To.
	Still geom.Angle
	// Drives, when there are any, are the frames, in place of openings. The
	// last one stands still.
	Drives []kinematics.Drive
	// Frames is how many pictures there are from one end to the other; 0 is
	// DefaultFrames.
	Frames int
	// Seconds is the time from one end to the other; 0 is DefaultSeconds.
	Seconds float64
	// Pause is the time spent at each end, in seconds; 0 is DefaultPause, and
	// a negative one none.
	Pause float64

	given bool // Drives were given
}

const (
	DefaultFrames  = 25
	MaxFrames      = maxFrames
	DefaultSeconds = 2.4
	MaxSeconds     = 120.0
	DefaultPause   = 0.9
)

// Animate writes a moving picture of a design as SVG: it opens, rests, shuts
// and rests, for ever. It moves by the keyframes of style sheets and has no
// script, so that it also plays where it is shown as an image. Readers who ask
// for reduced motion, and programs that do not move pictures, see it still.
func Animate(w io.Writer, a *kinematics.Assembly, o AnimateOptions) error {
	o, err := o.resolved(a)
	if err != nil {
		return err
	}
	frames, err := pictures(a, o.Drives, &o.Options, o.Width)
	if err != nil {
		return err
	}
	width := float64(o.Width)
	m, height := fitAll(frames, width, &o.Options)

	// Frames are many and pass quickly: a tenth of a px is enough.
	c := &canvas{coarse: true}
	c.open(width, height, moveTitle(a, o.Drives, moverOf(a, o.Drives)), o.Background)
	still := o.stillFrame()
	c.text(o.styles(len(frames), still))
	for i, f := range frames {
		c.textf("<g id=\"%s-f%d\" class=\"%s-frame\">\n", o.IDPrefix, i, o.IDPrefix)
		f.draw(c, m, &o.Options, fmt.Sprintf("%s-%d", o.IDPrefix, i))
		c.text("</g>\n")
	}
	c.close()
	if err := frames[0].watch.err; err != nil {
		return err
	}
	_, err = w.Write(c.b)
	return err
}

// resolved checks the options and fills in defaults and the drives.
func (o AnimateOptions) resolved(a *kinematics.Assembly) (AnimateOptions, error) {
	var err error
	if o.Options, err = o.Options.resolved(); err != nil {
		return o, err
	}
	switch {
	case !(o.Seconds >= 0 && o.Seconds <= MaxSeconds):
		return o, &OptionError{"Seconds", fmt.Sprintf("must be from 0 to %g", MaxSeconds)}
	case !(o.Pause <= MaxSeconds):
		return o, &OptionError{"Pause", fmt.Sprintf("must be at most %g", MaxSeconds)}
	case !finite(float64(o.From)) || !finite(float64(o.To)) || !finite(float64(o.Still)):
		return o, &OptionError{"From", "and To and Still must be finite angles"}
	}
	if o.Seconds == 0 {
		o.Seconds = DefaultSeconds
	}
	if o.Pause == 0 {
		o.Pause = DefaultPause
	}
	o.Pause = max(o.Pause, 0)
	if o.From == 0 && o.To == 0 {
		o.To = a.Design.Spread.OpensTo
	}
	if o.Still == 0 {
		o.Still = o.To
	}
	if o.Drives != nil {
		o.Frames = len(o.Drives)
	}
	if o.Frames == 0 {
		o.Frames = DefaultFrames
	}
	if o.Frames < 2 || o.Frames > MaxFrames {
		return o, &OptionError{"Frames", fmt.Sprintf("must be from 2 to %d", MaxFrames)}
	}
	if o.given = o.Drives != nil; o.given {
		return o, checkDrives(a, o.Drives, "Drives")
	}
	o.Drives = make([]kinematics.Drive, o.Frames)
	for i := range o.Drives {
		// A hand starts and stops softly: half a swing of a cosine.
		along := 0.5 - 0.5*math.Cos(math.Pi*float64(i)/float64(o.Frames-1))
		o.Drives[i].Opening = o.From + geom.Angle(along)*(o.To-o.From)
	}
	return o, nil
}

// stillFrame is the frame that is seen when nothing moves.
func (o *AnimateOptions) stillFrame() int {
	best := len(o.Drives) - 1
	if o.given {
		return best
	}
	for i := range o.Drives {
		if math.Abs(float64(o.Drives[i].Opening-o.Still)) < math.Abs(float64(o.Drives[best].Opening-o.Still)) {
			best = i
		}
	}
	return best
}

// styles is the style sheet that moves n frames. Each frame is seen for its
// part of the way there and again on the way back; the two at the ends once,
// and through the pause.
func (o *AnimateOptions) styles(n, still int) string {
	id := o.IDPrefix
	step := o.Seconds / float64(n-1)
	whole := 2 * (o.Seconds + o.Pause)
	percent := func(t float64) string {
		return strconv.FormatFloat(math.Round(t/whole*1e5)/1e3, 'f', -1, 64) + "%"
	}
	b := fmt.Appendf(nil, "<style>.%s-frame{visibility:hidden}#%s-f%d{visibility:visible}@media (prefers-reduced-motion:no-preference){", id, id, still)
	b = fmt.Appendf(b, ".%s-frame{visibility:hidden;animation:%s-f0 %ss step-end infinite}", id, id,
		strconv.FormatFloat(math.Round(whole*1000)/1000, 'f', -1, 64))
	// The cycle starts in the middle of the pause at the first frame and is the
	// same backwards, so a frame is seen for one stretch, or for two.
	for i := range n {
		if i > 0 {
			b = fmt.Appendf(b, "#%s-f%d{animation-name:%s-f%d}", id, i, id, i)
		}
		enter := o.Pause/2 + (float64(i)-0.5)*step
		leave := enter + step
		switch i {
		case 0:
			b = fmt.Appendf(b, "@keyframes %s-f0{0%%{visibility:visible}%s{visibility:hidden}%s,100%%{visibility:visible}}",
				id, percent(leave), percent(whole-leave))
		case n - 1:
			b = fmt.Appendf(b, "@keyframes %s-f%d{0%%{visibility:hidden}%s{visibility:visible}%s,100%%{visibility:hidden}}",
				id, i, percent(enter), percent(whole-enter))
		default:
			b = fmt.Appendf(b, "@keyframes %s-f%d{0%%{visibility:hidden}%s{visibility:visible}%s{visibility:hidden}%s{visibility:visible}%s,100%%{visibility:hidden}}",
				id, i, percent(enter), percent(leave), percent(whole-leave), percent(whole-enter))
		}
	}
	return string(b) + "}</style>\n"
}
