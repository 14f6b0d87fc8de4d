package api

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"

	"foldwright/api/site"
	"foldwright/storage"
)

// CreateJob answers POST /v1/jobs.
func (s *Server) CreateJob(ctx context.Context, request CreateJobRequestObject) (CreateJobResponseObject, error) {
	media, err := s.checkJob(ctx, request.Body)
	if err != nil {
		return nil, err
	}
	operation := string(request.Body.Operation)
	key := idempotencyKey(request.Params.IdempotencyKey, "job "+operation+" "+media, versionNote{}, hashOf(request.Body.Request))
	j, replayed, err := s.store(ctx).AddJob(ctx, storage.NewJob{Operation: operation, Media: media, Request: request.Body.Request}, key)
	if err != nil {
		return nil, err
	}
	a, err := jobAnswer(http.StatusAccepted, &j)
	if err != nil {
		return nil, err
	}
	if replayed {
		a.with("Idempotency-Replayed", "true")
	}
	return a.with("Location", jobPath(j.ID)), nil
}

// ListJobs answers GET /v1/jobs.
func (s *Server) ListJobs(ctx context.Context, request ListJobsRequestObject) (ListJobsResponseObject, error) {
	limit := pageSize(request.Params.Limit)
	page, err := s.store(ctx).Jobs(ctx, versionQuery(limit, request.Params.Cursor))
	if err != nil {
		return nil, err
	}
	next := nextPage("/v1/jobs", limit, page.Next)
	out := JobPage{Jobs: make([]JobRecord, len(page.Jobs)), Next: next.cursor()}
	for i := range page.Jobs {
		if out.Jobs[i], err = jobRecord(&page.Jobs[i]); err != nil {
			return nil, err
		}
	}
	return next.answer(out)
}

// GetJob answers GET /v1/jobs/{job}.
func (s *Server) GetJob(ctx context.Context, request GetJobRequestObject) (GetJobResponseObject, error) {
	j, err := s.store(ctx).Job(ctx, request.Job)
	if err != nil {
		return nil, jobFault(err)
	}
	return jobAnswer(http.StatusOK, &j)
}

// CancelJob answers DELETE /v1/jobs/{job}.
func (s *Server) CancelJob(ctx context.Context, request CancelJobRequestObject) (CancelJobResponseObject, error) {
	store := s.store(ctx)
	before, err := store.Job(ctx, request.Job)
	if err != nil {
		return nil, jobFault(err)
	}
	after, err := store.CancelJob(ctx, request.Job)
	if err != nil {
		return nil, jobFault(err)
	}
	if !before.State.Ended() && after.State == storage.JobCancelled {
		s.metrics.jobEnded(&after, after.State)
		s.log.InfoContext(ctx, "job cancelled", "job", after.ID, "operation", after.Operation, "workspace", after.Workspace)
	}
	return CancelJob204Response{}, nil
}

// GetJobResult answers GET /v1/jobs/{job}/result.
func (s *Server) GetJobResult(ctx context.Context, request GetJobResultRequestObject) (GetJobResultResponseObject, error) {
	j, result, err := s.store(ctx).JobResult(ctx, request.Job)
	switch {
	case err != nil:
		return nil, jobFault(err)
	case !j.State.Ended():
		return nil, &fault{kind: noResult, detail: "the job is " + string(j.State) + "; ask again when it is done"}
	case j.State == storage.JobFailed:
		return nil, &fault{kind: noResult, detail: "the job failed; the job itself tells why"}
	case j.State != storage.JobDone:
		return nil, &fault{kind: noResult, detail: "the job was cancelled"}
	}
	made := newAnswer(http.StatusOK, j.Media, result)
	if j.Media == MediaHTML {
		made = pageAnswer(site.Whole(result))
	}
	return made.with("Cache-Control", cacheAskEach), nil
}

// jobFault says that it is a job that is not there.
func jobFault(err error) error {
	if errors.Is(err, storage.ErrNotFound) {
		return &fault{kind: notFound, detail: "there is no such job; an ended one is kept only for a while", cause: err}
	}
	return err
}

func jobPath(id string) string { return "/v1/jobs/" + id }

func jobAnswer(status int, j *storage.Job) (*answer, error) {
	record, err := jobRecord(j)
	if err != nil {
		return nil, err
	}
	body, err := encode(record)
	if err != nil {
		return nil, err
	}
	return newAnswer(status, MediaJSON, body).with("Cache-Control", "no-store"), nil
}

func jobRecord(j *storage.Job) (JobRecord, error) {
	out := JobRecord{
		Id: j.ID, Operation: JobOperation(j.Operation), State: JobState(j.State), MediaType: j.Media, Attempts: j.Attempts,
		CreatedAt: j.CreatedAt, StartedAt: j.StartedAt, EndedAt: j.EndedAt, ExpiresAt: j.ExpiresAt,
	}
	if j.Progress.Of > 0 {
		out.Progress = &JobProgress{Done: j.Progress.Done, Of: j.Progress.Of}
	}
	if j.State == storage.JobDone {
		out.Result = new(jobPath(j.ID) + "/result")
	}
	if j.Problem != nil {
		out.Problem = &Problem{}
		if err := json.Unmarshal(j.Problem, out.Problem); err != nil {
			return out, err
		}
		out.Problem.Instance = j.ID
	}
	return out, nil
}
