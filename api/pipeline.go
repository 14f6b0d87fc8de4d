package api

import (
	"context"
	"time"

	"foldwright/solver/check"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/stack"
)

// Pipeline takes design documents to answers: document, design, assembly,
// poses, findings and parts, bytes. Its zero value is ready, and needs no
// server.
type Pipeline struct {
	// Observer is told how long the stages take; nil tells nobody.
	Observer Observer
}

// Observer watches a pipeline, for the request or the job of the context.
type Observer interface {
	Stage(ctx context.Context, name string, start time.Time, took time.Duration)
	Found(code finding.Code)
}

// Stages of the pipeline, as the observer hears of them.
const (
	stageDecode    = "decode"
	stageCompile   = "compile"
	stagePose      = "pose"
	stageEncode    = "encode"
	stageCheck     = "check"
	stagePattern   = "pattern"
	stageDraw      = "draw"
	stageView      = "view"
	stageCurves    = "curves"
	stageModel     = "model"
	stageFit       = "fit"
	stageCompare   = "compare"
	stageGuide     = "guide"
	stageLayout    = "layout"
	stageTolerance = "tolerance"
	stageVary      = "vary"
)

// Stages lists the stages in the order they run.
func Stages() []string {
	return []string{
		stageDecode,
		stageCompile,
		stagePose,
		stageEncode,
		stageCheck,
		stagePattern,
		stageDraw,
		stageView,
		stageCurves,
		stageModel,
		stageFit,
		stageCompare,
		stageLayout,
		stageGuide,
		stageTolerance,
		stageVary,
	}
}

func (p *Pipeline) observe(ctx context.Context, stage string, start time.Time, took time.Duration) {
	if p.Observer != nil {
		p.Observer.Stage(ctx, stage, start, took)
	}
}

// timed runs one stage.
func (p *Pipeline) timed(ctx context.Context, stage string, do func()) {
	start := time.Now()
	do()
	p.observe(ctx, stage, start, time.Since(start))
}

// Read decodes a design document. Its faults are a *design.Invalid inside the
// error.
func (p *Pipeline) Read(ctx context.Context, raw []byte) (*Document, error) {
	return p.read(ctx, raw, "")
}

func (p *Pipeline) read(ctx context.Context, raw []byte, prefix string) (doc *Document, err error) {
	p.timed(ctx, stageDecode, func() { doc, err = readDocument(raw, prefix) })
	return doc, err
}

func (p *Pipeline) compile(ctx context.Context, doc *Document) (a *kinematics.Assembly) {
	p.timed(ctx, stageCompile, func() { a = kinematics.Compile(doc.Design) })
	return a
}

// stopOf tells the solver, which knows no contexts, when nobody waits for its
// answer any more.
func stopOf(ctx context.Context) func() bool {
	return func() bool { return ctx.Err() != nil }
}

// stopped is the reason of the context when it has stopped the work, whatever
// that says itself.
func stopped(ctx context.Context, err error) error {
	if reason := ctx.Err(); reason != nil {
		return reason
	}
	return err
}

// judge checks the design, the shut page as asked for.
func (p *Pipeline) judge(ctx context.Context, a *kinematics.Assembly, shut stack.Options) (judged *check.Report, err error) {
	shut.Stop = stopOf(ctx)
	_, err = p.examined(ctx, func() []finding.Finding {
		judged = check.Judge(a, shut)
		return judged.Findings
	})
	return judged, err
}

// examined runs an exam, and tells the observer what it finds.
func (p *Pipeline) examined(ctx context.Context, exam func() []finding.Finding) (found []finding.Finding, err error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	p.timed(ctx, stageCheck, func() { found = exam() })
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if p.Observer != nil {
		for i := range found {
			p.Observer.Found(found[i].Code)
		}
	}
	return found, nil
}

func (p *Pipeline) findings(ctx context.Context, a *kinematics.Assembly) ([]finding.Finding, error) {
	judged, err := p.judge(ctx, a, stack.Options{})
	if err != nil {
		return nil, err
	}
	return judged.Findings, nil
}
