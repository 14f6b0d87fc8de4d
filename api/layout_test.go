package api

import (
	"bytes"
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"time"

	"foldwright/solver/finding"
)

// slowStage is an observer that makes a stage last.
type slowStage struct {
	name string
	by   time.Duration
}

func (s slowStage) Stage(_ context.Context, name string, _ time.Time, _ time.Duration) {
	if name == s.name {
		time.Sleep(s.by)
	}
}

func (slowStage) Found(finding.Code) {}

// The time limit of a layout runs while the parts are made; what is over by then
// leaves a plan with everything laid out once.
func TestLayoutTimeLimitCoversThePartsToo(t *testing.T) {
	limit, copies := 0.05, 3
	p := &Pipeline{Observer: slowStage{stagePattern, 60 * time.Millisecond}}
	l, err := p.planRun(t.Context(), exampleDocument(t, "lighthouse"), &LayoutRequest{TimeLimit: &limit, Copies: &copies}, MediaJSON)
	if err != nil {
		t.Fatal(err)
	}
	if !l.run.Stopped || len(l.run.Unplaced) > 0 || len(l.run.Sheets) == 0 {
		t.Errorf("stopped %v, %d sheets, without a place: %v", l.run.Stopped, len(l.run.Sheets), l.run.Unplaced)
	}
	body, err := encode(l.wire())
	if err != nil || !bytes.Contains(body, []byte(`"ended_by":"time"`)) {
		t.Errorf("%v: %s", err, body)
	}
}

// tripping is a context that ends when it has been asked so often.
type tripping struct {
	context.Context
	left *atomic.Int64
}

func (c tripping) Err() error {
	if c.left.Add(-1) < 0 {
		return context.DeadlineExceeded
	}
	return nil
}

// Whenever the request ends, the layout does.
func TestLayoutEndsWithItsRequest(t *testing.T) {
	effort, limit, copies := 1, 15.0, 3
	doc := exampleDocument(t, "lighthouse")
	lay := func(questions int64) (left int64, err error) {
		ctx := tripping{t.Context(), &atomic.Int64{}}
		ctx.left.Store(questions)
		_, err = (&Pipeline{}).Layout(ctx, doc, &LayoutRequest{Effort: &effort, TimeLimit: &limit, Copies: &copies}, MediaJSON)
		return ctx.left.Load(), err
	}
	const plenty = 1 << 40
	left, err := lay(plenty)
	if err != nil {
		t.Fatal(err)
	}
	asked := int64(plenty) - left
	if asked < 20 {
		t.Fatalf("asked %d times", asked)
	}
	for _, n := range []int64{0, 1, asked / 4, asked / 2, asked - 1} {
		if _, err := lay(n); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("after %d of %d questions: %v", n, asked, err)
		}
	}
}
