package api

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"foldwright/solver/creep"
	"foldwright/solver/design"
	"foldwright/solver/draw"
	"foldwright/solver/geom"
	"foldwright/solver/pattern"
	"foldwright/solver/run"
)

// Layout plans a short run in the given media type. The design of the request
// is the document's; lengths are in its units.
func (p *Pipeline) Layout(ctx context.Context, doc *Document, request *LayoutRequest, media string) (body []byte, err error) {
	l, err := p.planRun(ctx, doc, request, media)
	if err != nil {
		return nil, err
	}
	if media == MediaJSON {
		return encode(l.wire())
	}
	p.timed(ctx, stageDraw, func() { body, err = l.draw(request.Sheet, media) })
	return body, err
}

// RunFile is one file of a run, named as it is saved.
type RunFile struct {
	Name string
	Data []byte
}

// RunFiles plans a short run once and gives all of it as files: the plan, the
// sheets as one PDF, and each of them as SVG and DXF.
func (p *Pipeline) RunFiles(ctx context.Context, doc *Document, request *LayoutRequest) ([]RunFile, error) {
	l, err := p.planRun(ctx, doc, request, MediaPDF)
	if err != nil {
		return nil, err
	}
	plan, err := encode(l.wire())
	if err != nil {
		return nil, err
	}
	files := []RunFile{{"layout.json", plan}}
	if len(l.run.Sheets) == 0 {
		return files, nil
	}
	pages, err := l.draw(nil, MediaPDF)
	if err != nil {
		return nil, err
	}
	files = append(files, RunFile{"sheets.pdf", pages})
	for number := 1; number <= len(l.run.Sheets); number++ {
		for _, media := range []string{MediaSVG, MediaDXF} {
			data, err := l.draw(&number, media)
			if err != nil {
				return nil, err
			}
			files = append(files, RunFile{fmt.Sprintf("sheet-%d%s", number, extensions[media]), data})
		}
	}
	return files, nil
}

// plannedRun is a run with what it was planned from.
type plannedRun struct {
	doc     *Document
	parts   *pattern.Pattern
	changes []creep.Change // of the parts, for thickness
	options run.Options
	run     *run.Run
	writer  drawingWriter
}

func (p *Pipeline) planRun(ctx context.Context, doc *Document, request *LayoutRequest, media string) (*plannedRun, error) {
	l := &plannedRun{doc: doc}
	late := after(timeLimit(request)) // making the parts counts too
	drawing := DrawingOptions{Style: request.Style, Layers: request.Layers, Kerf: request.Kerf, Scores: request.Scores}
	var err error
	if l.writer, err = drawing.writer(doc.Design, media); err != nil {
		return nil, err
	}
	if l.options, err = runOptions(doc, request); err != nil {
		return nil, err
	}
	if l.options.Finish, err = drawing.finish(doc.Design.Units); err != nil {
		return nil, err
	}
	l.parts, l.changes, err = p.allowed(ctx, doc, PatternOptions{
		SlotLengthClearance: request.SlotLengthClearance, SlotGapClearance: request.SlotGapClearance, LabelHeight: request.LabelHeight,
		ThicknessAllowance: request.ThicknessAllowance,
	})
	if err != nil {
		return nil, err
	}
	if err := begin(ctx, func() error { return runRefused(run.Check(l.parts, l.options), request, doc.Design) }); err != nil {
		return nil, err
	}
	l.options.Stop, l.options.Abandon, l.options.Progress = late, stopOf(ctx), progressOf(ctx)
	p.timed(ctx, stageLayout, func() { l.run, err = run.LayOut(l.parts, l.options) })
	return l, stopped(ctx, runRefused(err, request, doc.Design))
}

// defaultTimeLimit is long enough for the default effort with most cards.
const defaultTimeLimit = 5 * time.Second

func timeLimit(request *LayoutRequest) time.Duration {
	if request.TimeLimit == nil {
		return defaultTimeLimit
	}
	return time.Duration(*request.TimeLimit * float64(time.Second))
}

// after tells the solver, which has no clock, when the time is over.
func after(limit time.Duration) func() bool {
	end := time.Now().Add(limit)
	return func() bool { return time.Now().After(end) }
}

const noSheets = "no part has a place on any sheet; the answer in JSON tells why"

// draw draws one sheet, or all of them as pages where the format has such
// and none is named.
func (l *plannedRun) draw(sheet *int, media string) ([]byte, error) {
	n := len(l.run.Sheets)
	first, last := 0, n
	switch {
	case n == 0 && sheet == nil:
		return nil, &optionFault{"", NotAllowed, noSheets}
	case n == 0:
		return nil, &optionFault{"sheet", NotAllowed, noSheets}
	case sheet != nil && *sheet > n:
		return nil, &optionFault{"sheet", OutOfRange, fmt.Sprintf("must be from 1 to %d, as many different sheets as there are", n)}
	case sheet != nil:
		first, last = *sheet-1, *sheet
	case media != MediaPDF:
		last = 1
	}
	var pages []*draw.Drawing
	for i := first; i < last; i++ {
		page, err := l.run.Sheets[i].Finished()
		if err != nil {
			return nil, err
		}
		pages = append(pages, page)
	}
	return l.writer.writeSheets(pages, media)
}

// runOptions is the request in millimetres and radians.
func runOptions(doc *Document, request *LayoutRequest) (run.Options, error) {
	o := run.DefaultOptions()
	in := inside{doc.Design.Units.PerUnit()}
	o.Title, o.Caliper = doc.title(), doc.Design.Paper.Caliper
	setInt(&o.Copies, request.Copies)
	setInt(&o.Effort, request.Effort)
	in.set(&o.Margin, request.Margin)
	in.set(&o.Spacing, request.Spacing)
	o.Registration, o.KeepTogether = orTrue(request.Registration), orFalse(request.KeepTogether)
	if request.Seed != nil {
		o.Seed = uint64(*request.Seed)
	}
	if b := request.Bed; b != nil {
		o.Bed = run.Bed{Width: b.Width * in.perUnit, Height: b.Height * in.perUnit}
		in.set(&o.Bed.Margin, b.Margin)
	}
	if m := request.Machine; m != nil {
		in.set(&o.Machine.Cut, m.CutSpeed)
		in.set(&o.Machine.Score, m.ScoreSpeed)
		in.set(&o.Machine.Perforate, m.PerforateSpeed)
		in.set(&o.Machine.Travel, m.TravelSpeed)
		in.set(&o.Machine.Acceleration, m.Acceleration)
		inside{1}.set(&o.Machine.Lift, m.LiftTime)
		inside{mmPerMetre}.set(&o.Machine.BladeLife, m.BladeLife)
	}
	if a := request.Adhesive; a != nil {
		in.set(&o.Adhesive.Bead, a.BeadWidth)
		inside{1}.set(&o.Adhesive.Consumption, a.Consumption)
	}
	stocks := []LayoutStock{{}}
	if request.Stocks != nil {
		stocks = *request.Stocks
	}
	for i := range stocks {
		s, err := in.stock(&stocks[i], doc.Design)
		if err != nil {
			return o, &optionFault{fmt.Sprintf("stocks/%d", i), NotAllowed, err.Error()}
		}
		o.Stocks = append(o.Stocks, s)
	}
	if request.Parts != nil {
		for i := range *request.Parts {
			o.Rules = append(o.Rules, ruleOf(&(*request.Parts)[i]))
		}
	}
	return o, nil
}

const mmPerMetre = 1000

// inside turns what is given in one unit into another.
type inside struct{ perUnit float64 }

func (in inside) set(to *float64, from *float64) {
	if from != nil {
		*to = *from * in.perUnit
	}
}

func setInt(to *int, from *int) {
	if from != nil {
		*to = *from
	}
}

const (
	defaultStock = "card"
	defaultSheet = "A3"
)

var errStockSize = errors.New("give paper, or width and height")

// stock is a paper, by default that of the design in a common size.
func (in inside) stock(asked *LayoutStock, d *design.Design) (run.Stock, error) {
	s := run.Stock{Name: defaultStock, Caliper: d.Paper.Caliper, Grammage: d.Paper.Grammage}
	fill(&s.Name, asked.Name)
	in.set(&s.Caliper, asked.Caliper)
	inside{1}.set(&s.Grammage, asked.Grammage)
	inside{1}.set(&s.Price, asked.Price)
	setInt(&s.OnHand, asked.OnHand)
	if asked.Grain != nil {
		s.Grain = grains[*asked.Grain]
	}
	if asked.Width != nil || asked.Height != nil {
		if asked.Width == nil || asked.Height == nil || asked.Paper != nil {
			return s, errStockSize
		}
		s.Width, s.Height = *asked.Width*in.perUnit, *asked.Height*in.perUnit
		return s, nil
	}
	size := defaultSheet
	fill(&size, (*string)(asked.Paper))
	paper, known := draw.FindPaper(size)
	if !known {
		return s, errStockSize
	}
	s.Paper, s.Width, s.Height = paper.Name, paper.Width, paper.Height
	return s, nil
}

var grains = map[LayoutStockGrain]run.Side{Unknown: run.NoSide, LongSide: run.LongSide, ShortSide: run.ShortSide}

func ruleOf(asked *LayoutRule) run.Rule {
	r := run.Rule{Part: asked.Part, FreeGrain: asked.Grain != nil && *asked.Grain == Free}
	fill(&r.Stock, asked.Stock)
	fill(&r.Together, asked.Together)
	if asked.Rotations != nil {
		for _, a := range *asked.Rotations {
			r.Rotations = append(r.Rotations, geom.Degrees(a))
		}
	}
	return r
}

// runRefused turns an option that a run refuses into one of the request.
func runRefused(err error, request *LayoutRequest, d *design.Design) error {
	refused, ok := errors.AsType[*run.OptionError](err)
	if !ok {
		return err
	}
	if strings.HasPrefix(refused.Option, "stocks") && request.Stocks == nil { // the usual one, which something else does not go with
		refused.Option = "margin"
		if request.Margin == nil {
			refused.Option = "bed/width"
		}
	}
	if refused.Reason != "" {
		return &optionFault{refused.Option, NotAllowed, refused.Reason}
	}
	show := func(v float64) string { return string(appendNumber(nil, v)) }
	if suffix, isLength := perTime[refused.Quantity]; isLength {
		show = func(mm float64) string { return d.Show(mm) + suffix }
	}
	return &optionFault{refused.Option, OutOfRange, fmt.Sprintf("must be from %s to %s", show(refused.Min), show(refused.Max))}
}

// perTime is what follows a length in quantities with one.
var perTime = map[run.Quantity]string{run.Length: "", run.Speed: "/s", run.Acceleration: "/s²"}
