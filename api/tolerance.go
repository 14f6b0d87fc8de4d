package api

import (
	"context"
	"fmt"
	"math"
	"strings"

	"foldwright/solver/kinematics"
	"foldwright/solver/tolerance"
)

// Tolerance spreads the errors of making through the design.
func (p *Pipeline) Tolerance(ctx context.Context, doc *Document, options *ToleranceRequest) (*Tolerance, error) {
	a := p.compile(ctx, doc)
	task, err := toleranceTask(doc, a, options)
	if err != nil {
		return nil, err
	}
	if err := begin(ctx, nothingMore); err != nil {
		return nil, err
	}
	task.Stop, task.Progress = stopOf(ctx), progressOf(ctx)
	var result *tolerance.Result
	p.timed(ctx, stageTolerance, func() { result, err = tolerance.Run(task) })
	if err = stopped(ctx, err); err != nil {
		return nil, err
	}
	w := toleranceWire{doc, options, task, result, doc.Design.Units.PerUnit()}
	return w.answer(), nil
}

// The defaults are those of the contract.
const (
	defaultSamples  = 10_000
	defaultExamined = 200
	defaultYield    = 0.95
	// defaultGive is how far the sides of a mechanism may be off before it is
	// felt when shut, mm. Common practice.
	defaultGive = 0.5
)

func toleranceTask(doc *Document, a *kinematics.Assembly, o *ToleranceRequest) (*tolerance.Task, error) {
	per := doc.Design.Units.PerUnit()
	task := &tolerance.Task{
		Design: doc.Design, Errors: tolerance.DefaultErrors(), Law: tolerance.Uniform,
		Samples: defaultSamples, Checked: defaultExamined, Yield: defaultYield, Copies: 1, Give: defaultGive,
	}
	if o.Law != nil {
		task.Law = tolerance.Law(*o.Law)
	}
	fill(&task.Samples, o.Samples)
	fill(&task.Checked, o.Examined)
	fill(&task.Yield, o.Yield)
	fill(&task.Copies, o.Copies)
	if o.Seed != nil {
		task.Seed = uint64(*o.Seed)
	}
	if o.Give != nil {
		task.Give = *o.Give * per
	}
	for source, given := range givenErrors(o.Errors) {
		if source != tolerance.Paper {
			given *= per
		}
		task.Errors[source] = given
	}
	if err := setHalves(task, o.Dimensions, per); err != nil {
		return nil, err
	}
	readings, err := readingsOf(a, o.Measures, func(m *ToleranceMeasure) VaryMeasure {
		return VaryMeasure{Measure: m.Measure, Opening: m.Opening, Drivers: m.Drivers}
	})
	if err != nil {
		return nil, err
	}
	for i, r := range readings {
		g := tolerance.Goal{Reading: r, AtLeast: math.Inf(-1), AtMost: math.Inf(1)}
		if o.Measures != nil {
			m := &(*o.Measures)[i]
			inside{r.Measure.Scale}.set(&g.AtLeast, m.AtLeast)
			inside{r.Measure.Scale}.set(&g.AtMost, m.AtMost)
		}
		if g.AtLeast > g.AtMost {
			return nil, &optionFault{fmt.Sprintf("measures/%d", i), NotAllowed, "at_least is above at_most; swap them"}
		}
		task.Goals = append(task.Goals, g)
	}
	return task, nil
}

// givenErrors are the half-widths of a request, in its units.
func givenErrors(e *ToleranceErrors) map[tolerance.Source]float64 {
	given := map[tolerance.Source]float64{}
	if e == nil {
		return given
	}
	for source, v := range map[tolerance.Source]*float64{
		tolerance.Gluing: e.Gluing, tolerance.Scoring: e.Scoring, tolerance.Cutting: e.Cutting, tolerance.Paper: e.Paper,
	} {
		if v != nil {
			given[source] = *v
		}
	}
	return given
}

// setHalves replaces the half-widths of single dimensions.
func setHalves(task *tolerance.Task, list *[]ToleranceDimension, per float64) error {
	if list == nil {
		return nil
	}
	causes := map[string]tolerance.Source{}
	ids := []string{}
	for _, c := range tolerance.Causes(task.Design.WrittenOut(), tolerance.DefaultErrors()) {
		causes[c.ID] = c.Source
		ids = append(ids, c.ID)
	}
	task.Halves = map[string]float64{}
	for i, d := range *list {
		source, known := causes[d.Pointer]
		if !known {
			return &optionFault{fmt.Sprintf("dimensions/%d/pointer", i), NotAllowed, "no dimension with an error of making; there are " + strings.Join(ids[:min(len(ids), 12)], ", ")}
		}
		if source != tolerance.Paper {
			d.HalfWidth *= per
		}
		task.Halves[d.Pointer] = d.HalfWidth
	}
	return nil
}

// toleranceWire gives a result in the design's units.
type toleranceWire struct {
	doc     *Document
	options *ToleranceRequest
	task    *tolerance.Task
	result  *tolerance.Result
	perUnit float64
}

func (w *toleranceWire) answer() *Tolerance {
	r := w.result
	out := &Tolerance{
		Units: Units(w.doc.Design.Units), DesignHash: w.doc.Hash,
		Law: ToleranceLaw(w.task.Law), Samples: r.Samples, Examined: r.Checked,
		Errors: w.errors(), Measures: make([]ToleranceSpread, len(r.Measures)),
		Mismatch: make([]ToleranceMismatch, len(r.Shut)), Checks: make([]ToleranceChance, len(r.Checks)),
		Dimensions: make([]ToleranceRank, len(r.Ranked)),
		Yield: ToleranceYield{
			Wanted: r.Yield.Wanted, Good: known(r.Yield.Good), AllGood: known(r.Yield.AllGood), Factor: known(r.Yield.Factor),
			Copies: w.task.Copies,
		},
	}
	if r.Yield.Make > 0 {
		out.Yield.Make = &r.Yield.Make
	}
	id := func(mechanism int) string { return w.doc.Design.Mechanisms[mechanism].ID }
	for i := range r.Measures {
		out.Measures[i] = w.spread(&r.Measures[i])
	}
	for i, m := range r.Shut {
		out.Mismatch[i] = ToleranceMismatch{
			Mechanism: id(m.Mechanism), Nominal: known(m.Nominal / w.perUnit), Mean: known(m.Mean / w.perUnit),
			High: known(m.High / w.perUnit), Felt: known(m.Felt),
		}
	}
	for i, c := range r.Checks {
		out.Checks[i] = ToleranceChance{Code: FindingCode(c.Code), Mechanism: id(c.Mechanism), Share: round6(c.Share), Uncertainty: round6(c.Doubt)}
	}
	for i := range r.Ranked {
		out.Dimensions[i] = w.rank(&r.Ranked[i])
	}
	return out
}

// errors lists the half-widths used, and which of them nobody gave.
func (w *toleranceWire) errors() []ToleranceError {
	given := givenErrors(w.options.Errors)
	out := []ToleranceError{}
	for _, source := range tolerance.Sources() {
		half, unit := w.half(source, w.task.Errors[source])
		basis := CommonPractice
		if _, ok := given[source]; ok {
			basis = Given
		} else if source == tolerance.Paper {
			basis = FromMemory
		}
		out = append(out, ToleranceError{Source: ToleranceSource(source), HalfWidth: half, Unit: unit, Basis: basis})
	}
	return out
}

// half is a half-width in the unit it is shown in.
func (w *toleranceWire) half(source tolerance.Source, v float64) (float64, ToleranceUnit) {
	if source == tolerance.Paper {
		return round6(v), ToleranceUnitFraction
	}
	return round6(v / w.perUnit), ToleranceUnit(w.doc.Design.Units)
}

func (w *toleranceWire) spread(m *tolerance.Spread) ToleranceSpread {
	shown := func(v float64) *float64 { return known(v / m.Measure.Scale) }
	return ToleranceSpread{
		Measure: m.Measure.ID, Opening: round6(m.Drive.Opening.Degrees()), Unit: m.Measure.Unit,
		Nominal: shown(m.Nominal), Deviation: shown(m.Deviation),
		Sampled: ToleranceSampled{
			Mean: shown(m.Mean), Deviation: shown(m.Sampled), Low: shown(m.Low), High: shown(m.High), Unreached: known(m.Unreached),
		},
		Good: known(m.Good), Curved: m.Curved,
	}
}

func (w *toleranceWire) rank(r *tolerance.Rank) ToleranceRank {
	c := &w.result.Causes[r.Cause]
	out := ToleranceRank{
		Pointer: c.ID, Mechanism: w.doc.Design.Mechanisms[c.Mechanism].ID, Source: ToleranceSource(c.Source),
		Share: round6(r.Share), ByMeasure: make([]float64, len(r.Of)),
	}
	out.HalfWidth, out.Unit = w.half(c.Source, c.Half)
	for i, share := range r.Of {
		out.ByMeasure[i] = round6(share)
	}
	if r.Allowed.Together > 0 || r.Allowed.Alone > 0 {
		allowed := func(v float64) *float64 {
			shown, _ := w.half(c.Source, v)
			return known(shown)
		}
		out.AllowedTogether, out.AllowedAlone = allowed(r.Allowed.Together), allowed(r.Allowed.Alone)
	}
	return out
}
