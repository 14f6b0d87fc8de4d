package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"foldwright/api/jobs"
	"foldwright/storage"
)

// jobWork is the operations that jobs may do: the handlers themselves, so that
// a job answers what its operation would.
var jobWork = map[JobOperation]func(*Server, context.Context, []byte) (any, error){
	JobOperationFit: func(s *Server, ctx context.Context, raw []byte) (any, error) {
		body, err := bodyOf[FitRequest](raw)
		if err != nil {
			return nil, err
		}
		return s.Fit(ctx, FitRequestObject{Body: body})
	},
	JobOperationGuide: func(s *Server, ctx context.Context, raw []byte) (any, error) {
		body, err := bodyOf[GuideRequest](raw)
		if err != nil {
			return nil, err
		}
		return s.Guide(ctx, GuideRequestObject{Body: body})
	},
	JobOperationTolerance: func(s *Server, ctx context.Context, raw []byte) (any, error) {
		body, err := bodyOf[ToleranceRequest](raw)
		if err != nil {
			return nil, err
		}
		return s.Tolerance(ctx, ToleranceRequestObject{Body: body})
	},
	JobOperationVary: func(s *Server, ctx context.Context, raw []byte) (any, error) {
		body, err := bodyOf[VaryRequest](raw)
		if err != nil {
			return nil, err
		}
		return s.Vary(ctx, VaryRequestObject{Body: body})
	},
	JobOperationLayout: func(s *Server, ctx context.Context, raw []byte) (any, error) {
		body, err := bodyOf[LayoutRequest](raw)
		if err != nil {
			return nil, err
		}
		return s.Layout(ctx, LayoutRequestObject{Body: body})
	},
}

func bodyOf[T any](raw []byte) (*T, error) {
	body := new(T)
	return body, decodeChecked(raw, body)
}

// work is how the pipeline is to go about an answer, besides how the request
// says: nothing for a request of its own.
type work struct {
	checkOnly bool // end with errChecked where the long part would begin
	progress  func(done, of int)
}

type workKey struct{}

func withWork(ctx context.Context, w work, media string) context.Context {
	return withExchange(context.WithValue(ctx, workKey{}, w), &exchange{media: media})
}

// progressOf is who is told the progress, nil if nobody is.
func progressOf(ctx context.Context) func(done, of int) {
	w, _ := ctx.Value(workKey{}).(work)
	return w.progress
}

// errChecked ends work that was only to be checked, and is good.
var errChecked = errors.New("api: the request is good")

// begin is asked where the long part of the work begins. What the solver alone
// can refuse is checked where there is only that to do.
func begin(ctx context.Context, check func() error) error {
	if w, _ := ctx.Value(workKey{}).(work); w.checkOnly {
		if err := check(); err != nil {
			return err
		}
		return errChecked
	}
	return ctx.Err()
}

// nothingMore is the check of work of which the solver refuses nothing.
func nothingMore() error { return nil }

// checkJob holds the request of a job to all that its operation would hold it
// to, and chooses the media type of the result.
func (s *Server) checkJob(ctx context.Context, asked *JobRequest) (media string, err error) {
	op := s.operations.find(http.MethodPost, "/v1/"+string(asked.Operation))
	media = op.offers[0]
	if asked.Accept != nil {
		media = negotiate([]string{*asked.Accept}, op.offers)
	}
	if media == "" {
		return "", faultAt(invalidRequest, FieldError{Pointer: "/accept", Code: NotAllowed, Detail: "must be one of " + strings.Join(op.offers, ", ")})
	}
	err = checkEnvelope(asked.Request, op.options)
	if err == nil {
		_, err = jobWork[asked.Operation](s, withWork(ctx, work{checkOnly: true}, media), asked.Request)
	}
	if errors.Is(err, errChecked) {
		return media, nil
	}
	return "", under("/"+requestField, err)
}

// under puts the faults of a part of the body in their place.
func under(prefix string, err error) error {
	f := interpret(err)
	if len(f.errors) == 0 {
		return err
	}
	list := make([]FieldError, len(f.errors))
	for i, e := range f.errors {
		e.Pointer = prefix + e.Pointer
		list[i] = e
	}
	placed := faultAt(f.kind, list...)
	placed.cause = f.cause
	return placed
}

// maxJobResult is the longest answer that is kept, in bytes: more than any
// sheet of a layout.
const maxJobResult = 16 << 20

// do is the work of a job.
func (s *Server) do(ctx context.Context, job *storage.JobClaim, progress func(done, of int)) ([]byte, error) {
	do, known := jobWork[JobOperation(job.Operation)]
	if !known { // queued by a later release
		return nil, fmt.Errorf("api: no operation %s", job.Operation)
	}
	found, err := do(s, withWork(ctx, work{progress: progress}, job.Media), job.Request)
	if err != nil {
		return nil, under("/"+requestField, err)
	}
	made, ready := found.(*answer)
	if !ready {
		return nil, fmt.Errorf("api: %s has no ready bytes", job.Operation)
	}
	if len(made.body) > maxJobResult {
		return nil, &fault{kind: tooComplex, detail: fmt.Sprintf("the answer is longer than the %d bytes that are kept of a job; ask for less in one", maxJobResult)}
	}
	return made.body, nil
}

// attempt watches a worker at a job.
func (s *Server) attempt(ctx context.Context, c *storage.JobClaim) (context.Context, func(jobs.Outcome)) {
	start := time.Now()
	s.metrics.attemptBegan(&c.Job)
	ctx, span := s.tracedJob(ctx, c)
	return ctx, func(outcome jobs.Outcome) {
		s.metrics.attemptEnded(&c.Job, outcome, time.Since(start))
		endJob(span, outcome)
	}
}

// jobProblem is what is kept of why a job failed.
func (s *Server) jobProblem(err error) []byte {
	f := interpret(err)
	if errors.Is(err, jobs.ErrKilled) {
		f = &fault{kind: internal, detail: fmt.Sprintf("the service lost the work %d times, perhaps because of it; ask for less in one job", storage.MaxJobAttempts)}
	}
	kept, encodeErr := encode(f.problem(""))
	if encodeErr != nil {
		s.log.Error("a problem does not encode", "error", encodeErr)
	}
	return kept
}
