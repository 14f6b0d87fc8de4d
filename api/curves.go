package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"foldwright/solver/curves"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// CurvesOptions say what is measured, and against what.
type CurvesOptions struct {
	Measures []string     // ids; none is the height
	Sweep    SweepOptions // the zero value sweeps the opening
	Opening  *float64     // while a driver is swept, degrees
	Width    *int         // of a plot, px
}

// Curves answers measures in the given media type.
func (p *Pipeline) Curves(ctx context.Context, doc *Document, options CurvesOptions, media string) (body []byte, err error) {
	a := p.compile(ctx, doc)
	c, err := options.course(a)
	if err != nil {
		return nil, err
	}
	wanted, err := options.measures(a)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	p.timed(ctx, stageCurves, func() {
		var table *curves.Table
		if table, err = c.sample(wanted); err == nil {
			body, err = options.write(doc, a, table, media)
		}
	})
	return body, stopped(ctx, curvesRefused(err))
}

func (o *CurvesOptions) course(a *kinematics.Assembly) (*course, error) {
	solve := SolveOptions{Sweep: &o.Sweep}
	if o.Opening == nil {
		return solve.course(a)
	}
	if o.Sweep.Driver == "" || o.Sweep.Driver == theOpening {
		return nil, &optionFault{"opening", NotAllowed, "not where the opening itself is swept"}
	}
	if err := checkOpening(*o.Opening, "opening"); err != nil {
		return nil, err
	}
	solve.Openings = []float64{*o.Opening}
	return solve.course(a)
}

func (o *CurvesOptions) measures(a *kinematics.Assembly) ([]measure.Measure, error) {
	ids := o.Measures
	if len(ids) == 0 {
		ids = []string{string(measure.Height)}
	}
	list := make([]measure.Measure, len(ids))
	for i, id := range ids {
		var known bool
		if list[i], known = measure.Find(a, id); !known {
			return nil, &optionFault{fmt.Sprintf("measures/%d", i), NotAllowed, "no such measure; the answer in JSON lists those of everything and of each fold, panel and strip"}
		}
	}
	return list, nil
}

// sample measures along the course.
func (c *course) sample(wanted []measure.Measure) (*curves.Table, error) {
	if c.swept == sweptOpening {
		openings := make([]geom.Angle, len(c.values))
		for i, v := range c.values {
			openings[i] = geom.Degrees(v)
		}
		return curves.Sample(c.a, openings, wanted)
	}
	inside := make([]float64, len(c.values))
	for i, v := range c.values {
		inside[i] = c.hand.scales[c.swept].inside(v, &c.a.Drivers[c.swept])
	}
	return curves.SampleDriver(c.a, c.swept, inside, geom.Degrees(c.opening), wanted)
}

func (o *CurvesOptions) write(doc *Document, a *kinematics.Assembly, table *curves.Table, media string) ([]byte, error) {
	plot := curves.PlotOptions{}
	if o.Width != nil {
		plot.Width = *o.Width
	}
	var out bytes.Buffer
	var err error
	switch media {
	case MediaJSON:
		return encode(wireCurves(doc, a, table))
	case MediaCSV:
		err = curves.WriteCSV(&out, table)
	case MediaSVG:
		err = curves.WriteSVG(&out, table, plot)
	case MediaPNG:
		err = curves.WritePNG(&out, table, plot)
	default:
		err = fmt.Errorf("api: no curves in %s", media)
	}
	return out.Bytes(), err
}

func wireCurves(doc *Document, a *kinematics.Assembly, table *curves.Table) *Curves {
	out := &Curves{
		Units: Units(doc.Design.Units), DesignHash: doc.Hash,
		Axis:     Axis{Id: table.Axis.ID, Unit: AxisUnit(table.Axis.Unit)},
		At:       make([]float64, len(table.At)),
		Series:   make([]Series, len(table.Series)),
		Measures: []Measure{},
	}
	for i, v := range table.At {
		out.At[i] = round6(v)
	}
	for i := range table.Series {
		from := &table.Series[i]
		values := make([]*float64, len(from.Values))
		for k, v := range from.Values {
			if finite(v) {
				v = round6(v)
				values[k] = &v
			}
		}
		out.Series[i] = Series{Id: from.ID, Values: values}
	}
	for _, m := range measure.List(a) {
		out.Measures = append(out.Measures, Measure{Id: m.ID, Kind: MeasureKind(m.Kind), Title: m.Title, Unit: MeasureUnit(m.Unit)})
	}
	return out
}

// curvesRefused turns an option the curves package refuses into one of the
// request: the width of a plot, or how many measures there are.
func curvesRefused(err error) error {
	if refused, ok := errors.AsType[*curves.OptionError](err); ok {
		if refused.Option == "Width" {
			return &optionFault{"width", OutOfRange, refused.Reason}
		}
		return &optionFault{"measures", TooMany, refused.Reason}
	}
	return err
}
