package api

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"time"

	"foldwright/storage"
)

const (
	// eventPace is how often a followed job is looked at: as often as its
	// progress is written.
	eventPace = 500 * time.Millisecond
	// eventBeat is the longest silence; proxies commonly cut connections that
	// are silent for a minute.
	eventBeat = 10 * time.Second
	// eventWrite is how long a client may take to read what was sent.
	eventWrite = 10 * time.Second
)

// eventGoodbye tells a client to connect again soon, to who answers then.
const eventGoodbye = "retry: 1000\n: the service is shutting down; connect again\n\n"

// StreamJob answers GET /v1/jobs/{job}/events.
func (s *Server) StreamJob(ctx context.Context, request StreamJobRequestObject) (StreamJobResponseObject, error) {
	store := s.store(ctx)
	j, err := store.Job(ctx, request.Job)
	if err != nil {
		return nil, jobFault(err)
	}
	return &jobEvents{ctx: ctx, server: s, store: store, job: j}, nil
}

// jobEvents is the stream of events of one job (HTML, section 9.2).
type jobEvents struct {
	ctx    context.Context
	server *Server
	store  storage.Store
	job    storage.Job
}

// VisitStreamJobResponse follows the job until it ends, the client goes away or
// the service shuts down. In the last two cases there is no end event.
func (e *jobEvents) VisitStreamJobResponse(w http.ResponseWriter) error {
	h := w.Header()
	h.Set("Content-Type", MediaEvents)
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no") // proxies that buffer answers take it for a wish
	w.WriteHeader(http.StatusOK)
	if exchangeOf(e.ctx).head {
		return nil
	}
	tick := time.NewTicker(eventPace)
	defer tick.Stop()
	var shown []byte
	beat := time.Now()
	for {
		event, err := e.event()
		if err != nil {
			return err
		}
		if bytes.Equal(event, shown) && time.Since(beat) >= eventBeat {
			event = []byte(": at work\n\n")
		} else if bytes.Equal(event, shown) {
			event = nil
		} else {
			shown = event
		}
		if event != nil {
			beat = time.Now()
			if err := sendEvent(w, event); err != nil {
				return err
			}
		}
		if e.job.State.Ended() {
			return nil
		}
		if e.server.draining.Load() {
			return sendEvent(w, []byte(eventGoodbye))
		}
		select {
		case <-e.ctx.Done():
			return e.ctx.Err()
		case <-tick.C:
		}
		if e.job, err = e.store.Job(e.ctx, e.job.ID); err != nil {
			return err
		}
	}
}

func (e *jobEvents) event() ([]byte, error) {
	record, err := jobRecord(&e.job)
	if err != nil {
		return nil, err
	}
	data, err := encode(record)
	if err != nil {
		return nil, err
	}
	name := "progress"
	if e.job.State.Ended() {
		name = "end"
	}
	return fmt.Appendf(nil, "event: %s\ndata: %s\n\n", name, bytes.TrimSpace(data)), nil
}

// sendEvent writes at once. A stream is longer than the server lets an answer take,
// so every piece has a deadline of its own.
func sendEvent(w http.ResponseWriter, piece []byte) error {
	c := http.NewResponseController(w)
	// A writer that has no deadlines needs none.
	_ = c.SetWriteDeadline(time.Now().Add(eventWrite))
	if _, err := w.Write(piece); err != nil {
		return err
	}
	return c.Flush()
}
