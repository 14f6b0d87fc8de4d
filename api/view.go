package api

import (
	"bytes"
	"context"
	"fmt"
	"math"

	"foldwright/solver/check"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/view"
)

// View draws the folded spread in the given media type.
func (p *Pipeline) View(ctx context.Context, doc *Document, options ViewOptions, media string) (body []byte, err error) {
	if err := options.check(media); err != nil {
		return nil, err
	}
	drawn, err := options.drawn()
	if err != nil {
		return nil, err
	}
	a := p.compile(ctx, doc)
	still, err := options.still(a)
	if err != nil {
		return nil, err
	}
	if options.Marks {
		// A mark has no use for a remedy.
		found, err := p.examined(ctx, func() []finding.Finding { return check.Findings(a, stopOf(ctx)) })
		if err != nil {
			return nil, err
		}
		drawn.Marks = marksOf(a, found, still)
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	drawn.Stop = stopOf(ctx)
	p.timed(ctx, stageView, func() { body, err = options.draw(a, drawn, still, media) })
	return body, stopped(ctx, viewRefused(err))
}

func (o *ViewOptions) draw(a *kinematics.Assembly, drawn view.Options, still kinematics.Drive, media string) ([]byte, error) {
	var out bytes.Buffer
	var err error
	svg := media == MediaSVG
	switch {
	case !svg && media != MediaPNG:
		err = fmt.Errorf("api: no picture in %s", media)
	case o.Animated:
		err = o.animate(&out, a, drawn)
	case o.Stages != nil:
		var drives []kinematics.Drive
		if drives, err = o.moving(a, *o.Stages, evenPace); err != nil {
			break
		}
		if svg {
			err = view.StripDrives(&out, a, drives, drawn)
		} else {
			err = view.StripDrivesPNG(&out, a, drives, drawn)
		}
	default:
		pose := a.NewPose()
		a.PoseInto(pose, still)
		if svg {
			err = view.Render(&out, a, pose, drawn)
		} else {
			err = view.RenderPNG(&out, a, pose, drawn)
		}
	}
	return out.Bytes(), err
}

func (o *ViewOptions) animate(out *bytes.Buffer, a *kinematics.Assembly, drawn view.Options) error {
	if o.Moves == "" && o.Opening == nil && len(o.Drivers) == 0 {
		return view.Animate(out, a, view.AnimateOptions{Options: drawn, Still: viewShare * a.Design.Spread.OpensTo})
	}
	drives, err := o.moving(a, view.DefaultFrames, softPace)
	if err != nil {
		return err
	}
	return view.Animate(out, a, view.AnimateOptions{Options: drawn, Drives: drives})
}

func evenPace(t float64) float64 { return t }

// softPace starts and stops as a hand does: half a swing of a cosine.
func softPace(t float64) float64 { return (1 - math.Cos(math.Pi*t)) / 2 }

// maxMarks keeps a picture readable; the gravest come first.
const maxMarks = 40

// marksOf places the findings in a picture: at the finding's own point where
// the picture shows the opening it holds at, otherwise on the first of its
// panels that is posed.
func marksOf(a *kinematics.Assembly, found []finding.Finding, at kinematics.Drive) []view.Mark {
	pose := a.NewPose()
	a.PoseInto(pose, at)
	var marks []view.Mark
	for _, severity := range []finding.Severity{finding.Error, finding.Warning, finding.Note} {
		for i := range found {
			f := &found[i]
			if f.Severity != severity || len(marks) == maxMarks {
				continue
			}
			if point, ok := placeOf(a, pose, f); ok {
				marks = append(marks, view.Mark{At: point, Label: titleOf(f.Code), Severity: view.Severity(f.Severity)})
			}
		}
	}
	return marks
}

func placeOf(a *kinematics.Assembly, pose *kinematics.Pose, f *finding.Finding) (geom.Vec3, bool) {
	const same = 1e-6 // radians: the same opening but for its way through degrees
	if f.Where.HasPoint && math.Abs(float64(f.At.From-pose.Drive.Opening)) < same {
		return f.Where.Point, true
	}
	for _, id := range f.Where.Panels {
		if i := a.PanelIndex(id); i >= 0 && pose.Has(i) {
			return middleOf(pose.AppendVertices(nil, i)), true
		}
	}
	return geom.Vec3{}, false
}

func middleOf(points []geom.Vec3) geom.Vec3 {
	var sum geom.Vec3
	for _, p := range points {
		sum = sum.Add(p)
	}
	return sum.Mul(1 / float64(len(points)))
}

func titleOf(code finding.Code) string {
	for _, info := range finding.Catalogue() {
		if info.Code == code {
			return info.Title
		}
	}
	return string(code)
}
