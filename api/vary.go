package api

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strings"

	"foldwright/solver/check"
	"foldwright/solver/curves"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
	"foldwright/solver/vary"
	"foldwright/solver/view"
)

const (
	// mostVaried is how many designs a sweep may make.
	mostVaried = 400
	// mostPictured is how many of them a contact sheet may show.
	mostPictured = 144

	defaultColumns = 5
)

// Vary sweeps one or two numbers of the design, and answers in the given media
// type.
func (p *Pipeline) Vary(ctx context.Context, doc *Document, options *VaryRequest, media string) (body []byte, err error) {
	a := p.compile(ctx, doc)
	task, err := varyTask(doc, a, options)
	if err != nil {
		return nil, err
	}
	sheet := options.Picture != nil && *options.Picture == VaryPictureSheet
	switch drawn := media == MediaSVG || media == MediaPNG; {
	case drawn && sheet && vary.Count(task.Axes) > mostPictured:
		return nil, &optionFault{"axes", TooMany, fmt.Sprintf("a sheet shows at most %d designs; these are %d", mostPictured, vary.Count(task.Axes))}
	case drawn && !sheet && len(task.Readings)*vary.Count(task.Axes[1:]) > curves.MaxMeasures:
		return nil, &optionFault{"axes", TooMany, fmt.Sprintf("a plot shows at most %d curves", curves.MaxMeasures)}
	case drawn:
		task.Examined = false
	}
	if err := begin(ctx, nothingMore); err != nil {
		return nil, err
	}
	task.Stop, task.Progress = stopOf(ctx), progressOf(ctx)
	p.timed(ctx, stageVary, func() {
		var points []vary.Point
		if points, err = vary.Run(task); err != nil {
			return
		}
		v := varied{doc, options, task, points}
		switch {
		case media == MediaJSON:
			body, err = encode(v.answer())
		case media == MediaCSV:
			body, err = v.table()
		case sheet:
			body, err = v.sheet(ctx, media)
		default:
			body, err = v.plot(media)
		}
	})
	return body, stopped(ctx, viewRefused(curvesRefused(err)))
}

func varyTask(doc *Document, a *kinematics.Assembly, o *VaryRequest) (*vary.Task, error) {
	task := &vary.Task{Design: doc.Design, Examined: orTrue(o.Findings)}
	varied := map[string]bool{}
	for i := range o.Axes {
		axis, err := varyAxis(doc.Design, &o.Axes[i], fmt.Sprintf("axes/%d", i))
		if err != nil {
			return nil, err
		}
		for _, pointer := range append([]string{axis.Pointer}, axis.Tied...) {
			if varied[pointer] {
				return nil, &optionFault{fmt.Sprintf("axes/%d", i), NotAllowed, pointer + " is named before; a number varies once"}
			}
			varied[pointer] = true
		}
		task.Axes = append(task.Axes, axis)
	}
	if n := vary.Count(task.Axes); n > mostVaried {
		return nil, &optionFault{"axes", TooMany, fmt.Sprintf("at most %d designs; these steps make %d", mostVaried, n)}
	}
	var err error
	task.Readings, err = readingsOf(a, o.Measures, func(m *VaryMeasure) VaryMeasure { return *m })
	return task, err
}

// varyAxis is the values of one axis, all within the range of the first number.
func varyAxis(d *design.Design, o *VaryAxis, name string) (vary.Axis, error) {
	axis := vary.Axis{Pointer: o.Pointer}
	first, ok := d.Number(o.Pointer)
	if !ok {
		return axis, &optionFault{name + "/pointer", NotAllowed, "no number of the design"}
	}
	fill(&axis.Tied, o.Tied)
	for k, pointer := range axis.Tied {
		n, ok := d.Number(pointer)
		if !ok || n.Angle != first.Angle {
			return axis, &optionFault{fmt.Sprintf("%s/tied/%d", name, k), NotAllowed, "no number of the design, or an angle with a length"}
		}
	}
	lo, hi := first.Range(d)
	for _, end := range []struct {
		name  string
		value float64
	}{{"from", o.From}, {"to", o.To}} {
		if end.value < lo || end.value > hi {
			return axis, &optionFault{name + "/" + end.name, OutOfRange, fmt.Sprintf("must be from %g to %g %s", round6(lo), round6(hi), first.Unit())}
		}
	}
	axis.Values = make([]float64, o.Steps)
	for i := range axis.Values {
		t := float64(i) / float64(o.Steps-1)
		axis.Values[i] = round6(o.From*(1-t) + o.To*t)
	}
	return axis, nil
}

// varied is a sweep that was made.
type varied struct {
	doc     *Document
	options *VaryRequest
	task    *vary.Task
	points  []vary.Point
}

func (v *varied) answer() *Vary {
	out := &Vary{Units: Units(v.doc.Design.Units), DesignHash: v.doc.Hash, Points: make([]VaryPoint, len(v.points))}
	for i := range v.task.Axes {
		n, _ := v.doc.Design.Number(v.task.Axes[i].Pointer)
		out.Axes = append(out.Axes, VariedAxis{
			Pointer: n.Pointer, Title: check.FieldName(v.doc.Design, n.Pointer), Unit: n.Unit(), Values: v.task.Axes[i].Values,
		})
	}
	for _, r := range v.task.Readings {
		out.Measures = append(out.Measures, VariedMeasure{Measure: r.Measure.ID, Opening: round6(r.Drive.Opening.Degrees()), Unit: r.Measure.Unit})
	}
	for i := range v.points {
		p := &v.points[i]
		point := VaryPoint{At: p.At, MakesDesign: p.Assembly != nil, Values: make([]*float64, len(p.Values))}
		for k, value := range p.Values {
			point.Values[k] = known(value / v.task.Readings[k].Measure.Scale)
		}
		if v.task.Examined && p.Assembly != nil {
			verdict, found := verdict(p.Findings), wireFindings(p.Assembly.Design, p.Findings)
			point.Verdict, point.Findings = &verdict, &found
		}
		out.Points[i] = point
	}
	return out
}

// readingName is what a measure is called among those of the sweep: with its
// opening, where there is more than one.
func (v *varied) readingName(k int) string {
	r := &v.task.Readings[k]
	many := slices.ContainsFunc(v.task.Readings, func(other measure.Reading) bool { return other.Drive.Opening != r.Drive.Opening })
	if !many {
		return r.Measure.ID
	}
	return fmt.Sprintf("%s opened to %g", r.Measure.ID, round6(r.Drive.Opening.Degrees()))
}

// table writes the sweep as comma-separated values (RFC 4180), a line for each
// design.
func (v *varied) table() ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	var row []string
	for i := range v.task.Axes {
		n, _ := v.doc.Design.Number(v.task.Axes[i].Pointer)
		row = append(row, n.Pointer+" ("+n.Unit()+")")
	}
	for k, r := range v.task.Readings {
		row = append(row, v.readingName(k)+" ("+r.Measure.Unit+")")
	}
	// The writer keeps its first error and gives it again.
	_ = w.Write(append(row, "verdict", "findings"))
	for i := range v.points {
		p := &v.points[i]
		row = row[:0]
		for _, at := range p.At {
			row = append(row, curves.Decimal(at))
		}
		for k, value := range p.Values {
			row = append(row, curves.Decimal(value/v.task.Readings[k].Measure.Scale))
		}
		_ = w.Write(append(row, v.verdict(p), codesOf(p.Findings)))
	}
	w.Flush()
	return out.Bytes(), w.Error()
}

func (v *varied) verdict(p *vary.Point) string {
	switch {
	case p.Assembly == nil:
		return "no design"
	case !v.task.Examined:
		return ""
	}
	return string(verdict(p.Findings))
}

// codesOf lists the codes of findings, each once.
func codesOf(found []finding.Finding) string {
	var codes []byte
	seen := map[finding.Code]bool{}
	for i := range found {
		if c := found[i].Code; !seen[c] {
			if len(codes) > 0 {
				codes = append(codes, ' ')
			}
			codes = append(codes, c...)
			seen[c] = true
		}
	}
	return string(codes)
}

func (v *varied) plot(media string) ([]byte, error) {
	table := vary.Table(v.task, v.points, v.readingName, func(second float64) string { return v.at(1, second) })
	table.Axis.Title = check.FieldName(v.doc.Design, table.Axis.ID)
	plot := curves.PlotOptions{}
	fill(&plot.Width, v.options.Width)
	var out bytes.Buffer
	if media == MediaPNG {
		err := curves.WritePNG(&out, table, plot)
		return out.Bytes(), err
	}
	err := curves.WriteSVG(&out, table, plot)
	return out.Bytes(), err
}

// sheet draws every design that there is, in rows: with two axes a row for each
// value of the second.
func (v *varied) sheet(ctx context.Context, media string) ([]byte, error) {
	columns := defaultColumns
	if len(v.task.Axes) > 1 {
		columns = len(v.task.Axes[0].Values)
	}
	fill(&columns, v.options.Columns)
	picture := ViewOptions{Opening: v.options.Opening, Width: v.options.Width, Background: "#ffffff"}
	if v.options.Viewpoint != nil {
		picture.Viewpoint = string(*v.options.Viewpoint)
	}
	drawn, err := picture.drawn()
	if err != nil {
		return nil, err
	}
	drawn.Stop = stopOf(ctx)
	var cards []view.Card
	for i := range v.points {
		p := &v.points[i]
		if p.Assembly == nil {
			continue
		}
		drive, err := picture.still(p.Assembly)
		if err != nil {
			return nil, err
		}
		drive.Opening = min(drive.Opening, p.Assembly.Design.Spread.OpensTo)
		cards = append(cards, view.Card{Assembly: p.Assembly, Drive: drive, Caption: v.caption(p)})
	}
	if len(cards) == 0 {
		return nil, &optionFault{"axes", NotAllowed, "none of these numbers makes a design; narrow from and to"}
	}
	var out bytes.Buffer
	title := v.doc.title() + ", varied"
	if media == MediaPNG {
		err = view.ContactSheetPNG(&out, title, cards, min(columns, len(cards)), drawn)
	} else {
		err = view.ContactSheet(&out, title, cards, min(columns, len(cards)), drawn)
	}
	return out.Bytes(), err
}

// at is a value of an axis with its unit.
func (v *varied) at(axis int, value float64) string {
	n, _ := v.doc.Design.Number(v.task.Axes[axis].Pointer)
	return finding.Amount{Value: value, Unit: n.Unit()}.String()
}

// caption is the values of the axes and of the first measure.
func (v *varied) caption(p *vary.Point) string {
	at := make([]string, len(p.At))
	for i := range at {
		at[i] = v.at(i, p.At[i])
	}
	r, text := &v.task.Readings[0], "not reached"
	if value := p.Values[0] / r.Measure.Scale; !math.IsNaN(value) {
		text = finding.Amount{Value: value, Unit: r.Measure.Unit}.String()
	}
	return strings.Join(at, ", ") + ": " + text
}
