package api

import (
	"bytes"
	"context"
	"errors"
	"strings"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/model"
)

// ModelOptions say how a model moves. Openings are in degrees, values of
// drivers in degrees or the design's units; nil is the default.
type ModelOptions struct {
	From, To *float64 // of the animation
	Opening  *float64 // where it is not played
	Drivers  []DriverSetting
	Seconds  *float64
}

// Model makes the model as binary glTF.
func (p *Pipeline) Model(ctx context.Context, doc *Document, options ModelOptions) (body []byte, err error) {
	a := p.compile(ctx, doc)
	made, err := options.resolved(a)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	made.Stop = stopOf(ctx)
	var out bytes.Buffer
	p.timed(ctx, stageModel, func() { err = model.WriteGLB(&out, a, made) })
	if refused, ok := errors.AsType[*model.OptionError](err); ok {
		return nil, &optionFault{modelFields.Replace(refused.Option), OutOfRange, refused.Reason}
	}
	return out.Bytes(), stopped(ctx, err)
}

// modelFields are the options of a request by the fields of the model package.
var modelFields = strings.NewReplacer("From", "from", "To", "to", "Rest", "opening", "Hand", "drivers", "Seconds", "seconds")

func (o *ModelOptions) resolved(a *kinematics.Assembly) (model.Options, error) {
	h, err := handOf(a, o.Drivers)
	if err != nil {
		return model.Options{}, err
	}
	out := model.Options{To: a.Design.Spread.OpensTo, Hand: h.posed}
	for _, given := range []struct {
		name  string
		value *float64
		to    *geom.Angle
	}{{"from", o.From, &out.From}, {"to", o.To, &out.To}, {"opening", o.Opening, &out.Rest}} {
		if given.value == nil {
			continue
		}
		if err := checkOpening(*given.value, given.name); err != nil {
			return out, err
		}
		*given.to = geom.Degrees(*given.value)
	}
	if out.From == out.To {
		if o.To == nil {
			return out, &optionFault{"from", NotAllowed, "must differ from the opening the animation ends at, which is what the spread opens to unless to is given"}
		}
		return out, &optionFault{"to", NotAllowed, "must differ from the opening the animation starts at"}
	}
	if o.Seconds != nil {
		out.Seconds = *o.Seconds
	}
	return out, nil
}
