package api

import (
	"context"
	"errors"
	"fmt"

	"foldwright/solver/fit"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// FitOptions say what is wanted of a design, or what was measured on a mock-up.
type FitOptions struct {
	Vary         []FitVary
	Goals        []FitGoal
	Measurements []FitMeasurement
	Keep         FitKeep
	Starts       int // 0: the default
	Seed         int64
}

// Fit finds the numbers that are wanted of a design.
func (p *Pipeline) Fit(ctx context.Context, doc *Document, options FitOptions) (*Fit, error) {
	task, err := options.task(doc, p.compile(ctx, doc))
	if err != nil {
		return nil, err
	}
	if err := begin(ctx, func() error { return fit.Check(task) }); err != nil {
		return nil, err
	}
	var found *fit.Answer
	p.timed(ctx, stageFit, func() { found, err = fit.Solve(task, stopOf(ctx), progressOf(ctx)) })
	if err = stopped(ctx, err); err != nil {
		return nil, err
	}
	return options.wire(doc, found)
}

func (o *FitOptions) task(doc *Document, a *kinematics.Assembly) (*fit.Task, error) {
	task := &fit.Task{
		Design: doc.Design, Mockup: len(o.Measurements) > 0, Starts: o.Starts, Seed: uint64(o.Seed),
		Keep: fit.Keep{
			ShutsFlat: orTrue(o.Keep.ShutsFlat), OpensFully: orTrue(o.Keep.OpensFully), Inside: orTrue(o.Keep.InsidePage),
			Inset:     doc.Design.Spread.Margin / doc.Design.Units.PerUnit(),
			Symmetric: orFalse(o.Keep.Symmetric), NoNewErrors: orTrue(o.Keep.NoNewErrors),
		},
	}
	fill(&task.Keep.Inset, o.Keep.Inset)
	for i := range o.Vary {
		v := fit.Vary{Pointer: o.Vary[i].Pointer, Min: o.Vary[i].Min, Max: o.Vary[i].Max}
		fill(&v.Step, o.Vary[i].Step)
		fill(&v.Tied, o.Vary[i].Tied)
		task.Vary = append(task.Vary, v)
	}
	for i := range o.Goals {
		g, err := o.Goals[i].goal(a, fmt.Sprintf("goals/%d", i))
		if err != nil {
			return nil, err
		}
		task.Goals = append(task.Goals, g)
	}
	for i := range o.Measurements {
		m := &o.Measurements[i]
		g := fit.Goal{Measure: m.Measure, Target: m.Value, Tolerance: m.Uncertainty}
		if err := meantAt(&g, a, m.Opening, m.Drivers, fmt.Sprintf("measurements/%d", i)); err != nil {
			return nil, err
		}
		task.Goals = append(task.Goals, g)
	}
	return task, nil
}

func (g *FitGoal) goal(a *kinematics.Assembly, name string) (fit.Goal, error) {
	out := fit.Goal{Measure: g.Measure}
	given := 0
	for _, want := range []struct {
		value *float64
		sense fit.Sense
	}{{g.Target, fit.Equal}, {g.AtLeast, fit.AtLeast}, {g.AtMost, fit.AtMost}} {
		if want.value != nil {
			out.Target, out.Sense = *want.value, want.sense
			given++
		}
	}
	if given != 1 {
		return out, &optionFault{name, NotAllowed, "give exactly one of target, at_least and at_most"}
	}
	fill(&out.Tolerance, g.Tolerance)
	fill(&out.Weight, g.Weight)
	return out, meantAt(&out, a, g.Opening, g.Drivers, name)
}

// meantAt sets what moves the design where a goal is meant.
func meantAt(g *fit.Goal, a *kinematics.Assembly, opening *float64, drivers *DriverSettings, name string) error {
	if opening != nil {
		at := geom.Degrees(*opening)
		g.Opening = &at
	}
	h, err := handIn(a, drivers, name)
	if err != nil {
		return err
	}
	for _, s := range bodyDrivers(drivers) {
		g.Hand = append(g.Hand, fit.Setting{Driver: s.ID, Value: h.posed[a.DriverIndex(s.ID)]})
	}
	return nil
}

// fitRefused lists the faults of a task at the options they are in.
func fitRefused(err error) error {
	refused, ok := errors.AsType[*fit.Refused](err)
	if !ok {
		return err
	}
	codes := map[fit.Reason]FieldErrorCode{fit.Unknown: NotAllowed, fit.Outside: OutOfRange, fit.Clashes: NotAllowed, fit.TooMany: TooMany}
	list := make([]FieldError, min(len(refused.Faults), maxFaults))
	for i := range list {
		f := &refused.Faults[i]
		list[i] = FieldError{Pointer: "/" + f.Field, Code: codes[f.Reason], Detail: f.Detail}
	}
	return faultAt(invalidRequest, list...)
}

func (o *FitOptions) wire(doc *Document, found *fit.Answer) (*Fit, error) {
	design, patch, err := patchNumbers(doc.Raw, changesOf(found.Numbers))
	if err != nil {
		return nil, err
	}
	answer := &found.Solution
	out := &Fit{
		Units: Units(doc.Design.Units), DesignHash: doc.Hash, Met: answer.Met,
		Misfit: round6(answer.Misfit), MisfitUnrounded: round6(answer.Exact),
		Design: design, Patch: patch, Numbers: wireNumbers(answer.Numbers), Goals: o.wireGoals(answer.Goals),
		Limits: []FitLimit{}, Conflict: []FitParty{}, Alternatives: []FitAlternative{},
		Searches: found.Runs, Steps: found.Steps,
	}
	out.Findings.Before, out.Findings.After = wireFindings(doc.Design, found.Before), wireFindings(answer.Design, found.After)
	for i := range found.Limits {
		out.Limits = append(out.Limits, wireLimit(&found.Limits[i]))
	}
	for i := range found.Conflict {
		out.Conflict = append(out.Conflict, wireParty(&found.Conflict[i]))
	}
	for i := range found.Alternatives {
		s := &found.Alternatives[i]
		_, patch, err := patchNumbers(doc.Raw, changesOf(s.Numbers))
		if err != nil {
			return nil, err
		}
		out.Alternatives = append(out.Alternatives, FitAlternative{
			Misfit: round6(s.Misfit), MisfitUnrounded: round6(s.Exact),
			Patch: patch, Numbers: wireNumbers(s.Numbers), Goals: o.wireGoals(s.Goals),
		})
	}
	if found.Estimate != nil {
		out.Estimate = wireEstimate(found)
	}
	return out, nil
}

func changesOf(numbers []fit.Setpoint) []numberChange {
	var list []numberChange
	for i := range numbers {
		if n := &numbers[i]; n.After != n.Before {
			list = append(list, numberChange{n.Pointer, n.After})
		}
	}
	return list
}

func wireNumbers(numbers []fit.Setpoint) []FitNumber {
	list := make([]FitNumber, len(numbers))
	for i := range numbers {
		n := &numbers[i]
		list[i] = FitNumber{Pointer: n.Pointer, Unit: FitNumberUnit(n.Unit), Before: n.Before, After: n.After, Unrounded: n.Exact, OnStep: n.OnGrid}
	}
	return list
}

func (o *FitOptions) wireGoals(goals []fit.Reached) []FitReached {
	list := make([]FitReached, len(goals))
	for i := range goals {
		g := &goals[i]
		list[i] = FitReached{
			Opening: round6(g.Opening.Degrees()), Unit: FitReachedUnit(g.Unit), Tolerance: round6(g.Tolerance),
			Before: known(g.Before), After: known(g.After), Unrounded: known(g.Exact), Off: known(g.Off), Met: g.Met,
		}
		if len(o.Measurements) > 0 {
			list[i].Measure = o.Measurements[i].Measure
		} else {
			list[i].Measure = o.Goals[i].Measure
		}
	}
	return list
}

func wireLimit(l *fit.Limit) FitLimit {
	out := FitLimit{Kind: FitLimitKind(l.Kind), Of: l.Of}
	if l.Kind == fit.AtNewFinding {
		code := FindingCode(l.Code)
		out.Code = &code
		return out
	}
	value, unit := round6(l.Value), FitLimitUnit(l.Unit)
	out.Value, out.Unit = &value, &unit
	return out
}

func wireParty(p *fit.Party) FitParty {
	switch {
	case p.Condition != "":
		condition := FitPartyCondition(p.Condition)
		return FitParty{Condition: &condition}
	case p.Bounds != "":
		return FitParty{Bounds: &p.Bounds}
	}
	return FitParty{Goal: &p.Goal}
}

func wireEstimate(found *fit.Answer) *FitEstimate {
	e := found.Estimate
	out := &FitEstimate{
		ChiSquare: round6(e.ChiSquare), DegreesOfFreedom: e.Freedom, Rank: e.Rank, OutlierLevel: fit.OutlierLevel,
		Numbers: []FitEstimated{}, Covariance: [][]float64{}, Measurements: []FitResidual{},
	}
	for i := range e.Numbers {
		n := FitEstimated{Pointer: found.Numbers[i].Pointer, Determined: e.Numbers[i].Determined}
		if n.Determined {
			n.Uncertainty = &e.Numbers[i].Uncertainty
		}
		out.Numbers = append(out.Numbers, n)
		out.Covariance = append(out.Covariance, e.Covariance[i])
	}
	for i := range e.Residuals {
		r := &e.Residuals[i]
		out.Measurements = append(out.Measurements, FitResidual{
			Residual: round6(r.Value), Leverage: round6(r.Leverage), Studentised: round6(r.Studentised), Outlier: r.Outlier, WithoutIt: round6(r.WithoutIt),
		})
	}
	return out
}
