package api

import (
	"bufio"
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"foldwright/api/jobs"
	"foldwright/storage"
)

// atWork lets a server work on jobs until the test ends.
func atWork(t *testing.T, s *Server) {
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); s.Work(ctx) }()
	t.Cleanup(func() { cancel(); <-ended })
}

// doneJob is a job with a result, in whose store no other job is wanted.
func doneJob(t *testing.T, db storage.Database, workspace string) string {
	t.Helper()
	j, _, err := db.In(workspace).AddJob(t.Context(), storage.NewJob{Operation: "fit", Media: MediaJSON, Request: []byte("{}")}, storage.IdempotencyKey{})
	if err != nil {
		t.Fatal(err)
	}
	for {
		c, err := db.ClaimJob(t.Context(), time.Minute)
		if err == nil {
			err = db.EndJob(t.Context(), c, storage.JobOutcome{State: storage.JobDone, Result: []byte("{}")})
		}
		if err != nil {
			t.Fatal(err)
		}
		if c.ID == j.ID {
			return j.ID
		}
	}
}

// A job answers, byte for byte, what its operation does.
func TestAJobAnswersWhatItsOperationDoes(t *testing.T) {
	s := newServer(t)
	atWork(t, s)
	for operation, body := range map[string]string{
		"fit":       `{"example":"lighthouse","vary":[{"pointer":"/mechanisms/0/ridge_length","step":0.5}],"goals":[{"measure":"height","target":70,"tolerance":1}],"starts":1}`,
		"tolerance": `{"example":"lighthouse","samples":1000,"examined":10}`,
		"guide":     `{"example":"lighthouse","copies":3}`,
		"layout":    `{"example":"lighthouse","copies":2,"effort":20}`,
	} {
		want := post(t, s, "/v1/"+operation, body)
		j := submitJob(t, s, `{"operation":"`+operation+`","request":`+body+`}`)
		get(t, s, "/v1/jobs/"+j.Id+"/events")
		got := get(t, s, "/v1/jobs/"+j.Id+"/result")
		if want.Code != http.StatusOK || got.Body.String() != want.Body.String() || got.Header().Get("Content-Type") != want.Header().Get("Content-Type") {
			t.Errorf("%s: %d %.300s, the operation %d %.300s", operation, got.Code, got.Body, want.Code, want.Body)
		}
	}
	said := get(t, s, "/metrics").Body.String()
	for _, line := range []string{
		`foldwright_jobs_ended_total{operation="fit",state="done"} 1`, `foldwright_jobs_ended_total{operation="vary",state="done"} 0`,
		`foldwright_job_wait_seconds_count{operation="layout"} 1`,
	} {
		if !strings.Contains(said, line) {
			t.Errorf("the metrics do not say %s", line)
		}
	}
}

func submitJob(t *testing.T, s *Server, body string) JobRecord {
	t.Helper()
	w := post(t, s, "/v1/jobs", body)
	var j JobRecord
	decode(t, w, &j)
	if w.Code != http.StatusAccepted {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	return j
}

// longFit takes minutes.
var longFit = `{"operation":"fit","request":{"starts":64,"vary":[{"pointer":"/mechanisms/0/height"}],"goals":[{"measure":"height","target":60}],"design":` + crates(100) + `}}`

// A client that follows a job over the network is told of its start as it
// happens, and of its end when another client cancels it.
func TestAJobIsFollowedUntilItIsCancelled(t *testing.T) {
	s := serverWith(t, Config{Store: newStore(t), JobTimes: jobs.Times{Pace: 50 * time.Millisecond}})
	service := httptest.NewServer(s.Handler())
	defer service.Close()
	j := submitJob(t, s, longFit)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, service.URL+"/v1/jobs/"+j.Id+"/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := service.Client().Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	events := bufio.NewScanner(answer.Body)
	next := func(name string) (seen JobRecord) {
		t.Helper()
		for events.Scan() {
			line := events.Text()
			if line == "" || strings.HasPrefix(line, ":") {
				continue
			}
			if line != "event: "+name {
				t.Fatalf("%q, want the event %s", line, name)
			}
			events.Scan()
			if err := json.Unmarshal([]byte(strings.TrimPrefix(events.Text(), "data: ")), &seen); err != nil {
				t.Fatal(err)
			}
			return seen
		}
		t.Fatalf("the stream ended before %s: %v", name, events.Err())
		return seen
	}
	if seen := next("progress"); seen.State != JobStateQueued || seen.Id != j.Id {
		t.Errorf("at first %+v", seen)
	}
	atWork(t, s)
	if seen := next("progress"); seen.State != JobStateRunning || seen.StartedAt == nil {
		t.Errorf("then %+v", seen)
	}
	if w := get(t, s, "/v1/jobs/"+j.Id+"/result"); w.Code != http.StatusConflict || !strings.Contains(w.Body.String(), "the job is running") {
		t.Errorf("its result: %d %s", w.Code, w.Body)
	}
	for range 2 {
		if w := call(t, s, httptest.NewRequest(http.MethodDelete, "/v1/jobs/"+j.Id, nil)); w.Code != http.StatusNoContent {
			t.Errorf("cancelled: %d %s", w.Code, w.Body)
		}
	}
	if seen := next("end"); seen.State != JobStateCancelled || seen.EndedAt == nil {
		t.Errorf("at last %+v", seen)
	}
	for events.Scan() {
		if events.Text() != "" {
			t.Errorf("after the end: %q", events.Text())
		}
	}
}

// A job that takes longer than it may says so.
func TestTheTimeOfAJobIsBounded(t *testing.T) {
	s := serverWith(t, Config{Store: newStore(t), JobTimes: jobs.Times{Budget: 50 * time.Millisecond}})
	atWork(t, s)
	j := submitJob(t, s, longFit)
	get(t, s, "/v1/jobs/"+j.Id+"/events")
	decode(t, get(t, s, "/v1/jobs/"+j.Id), &j)
	if j.State != JobStateFailed || j.Problem == nil || j.Problem.Type != tookTooLong.address() || j.Problem.Instance != j.Id {
		t.Errorf("%+v, %+v", j, j.Problem)
	}
}
