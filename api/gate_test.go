package api

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"
)

func refusedAs(err error) *problemKind {
	f, ok := errors.AsType[*fault](err)
	if !ok {
		return nil
	}
	return f.kind
}

// One client has sent five requests before the other sends one.
func TestClientsTakeTurns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(1, 100, time.Minute)
		var (
			mu    sync.Mutex
			order []string
		)
		work := func(client string) {
			go func() {
				if err := g.enter(t.Context(), client); err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				order = append(order, client)
				mu.Unlock()
				time.Sleep(time.Second)
				g.leave()
			}()
			synctest.Wait()
		}
		for range 5 {
			work("quay")
		}
		work("mill")
		work("mill")
		work("hill")
		if working, waiting := g.lengths(); working != 1 || waiting != 7 {
			t.Errorf("%d work, %d wait", working, waiting)
		}
		time.Sleep(10 * time.Second)
		synctest.Wait()
		if want := []string{"quay", "quay", "mill", "hill", "quay", "mill", "quay", "quay"}; !slices.Equal(order, want) {
			t.Errorf("worked in the order %v, want %v", order, want)
		}
		if working, waiting := g.lengths(); working != 0 || waiting != 0 || len(g.queues) != 0 || len(g.turns) != 0 {
			t.Errorf("%d work, %d wait, %v, %v", working, waiting, g.queues, g.turns)
		}
	})
}

func TestQueueIsBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(2, 3, time.Minute)
		for range 2 {
			if err := g.enter(t.Context(), "quay"); err != nil {
				t.Fatal(err)
			}
		}
		ends := make(chan error, 10)
		wait := func(client string) {
			go func() { ends <- g.enter(t.Context(), client) }()
			synctest.Wait()
		}
		wait("quay")
		wait("quay")
		wait("quay")
		select {
		case err := <-ends:
			t.Fatalf("refused while there is room: %v", err)
		default:
		}
		wait("quay") // a fourth has no room
		if err := <-ends; refusedAs(err) != busy {
			t.Errorf("a full queue: %v", err)
		}
		// Another client gets the last place of the one that has most.
		wait("mill")
		if err := <-ends; refusedAs(err) != busy {
			t.Errorf("the greediest keeps its place: %v", err)
		}
		if len(g.queues["mill"]) != 1 || len(g.queues["quay"]) != 2 {
			t.Errorf("in line: %v", g.queues)
		}
		// Now it would only change places with the other.
		wait("mill")
		if err := <-ends; refusedAs(err) != busy || len(g.queues["quay"]) != 2 {
			t.Errorf("a second of the other: %v, %v", err, g.queues)
		}
		for range 5 {
			g.leave()
		}
		for range 3 {
			if err := <-ends; err != nil {
				t.Error(err)
			}
		}
		if working, waiting := g.lengths(); working != 0 || waiting != 0 {
			t.Errorf("%d work, %d wait", working, waiting)
		}
	})
}

func TestWaitingEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(1, 10, 10*time.Second)
		if err := g.enter(t.Context(), "quay"); err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		if err := g.enter(t.Context(), "quay"); refusedAs(err) != busy || time.Since(start) != 10*time.Second {
			t.Errorf("%v after %v", err, time.Since(start))
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		start = time.Now()
		if err := g.enter(ctx, "mill"); !errors.Is(err, context.DeadlineExceeded) || time.Since(start) != time.Second {
			t.Errorf("%v after %v", err, time.Since(start))
		}
		if working, waiting := g.lengths(); working != 1 || waiting != 0 || len(g.turns) != 0 {
			t.Errorf("%d work, %d wait, %v", working, waiting, g.turns)
		}
	})
}

// Whoever gives up at the moment their turn comes hands it on. Without the lock
// held over both, a place would get lost now and then.
func TestNoPlaceGetsLost(t *testing.T) {
	g := newGate(2, 1000, time.Minute)
	var all sync.WaitGroup
	for i := range 400 {
		all.Go(func() {
			ctx, cancel := context.WithTimeout(t.Context(), time.Duration(i%7)*200*time.Microsecond)
			defer cancel()
			if g.enter(ctx, string(rune('a'+i%5))) == nil {
				time.Sleep(100 * time.Microsecond)
				g.leave()
			}
		})
	}
	all.Wait()
	if working, waiting := g.lengths(); working != 0 || waiting != 0 || len(g.queues) != 0 || len(g.turns) != 0 {
		t.Errorf("%d work, %d wait, %v, %v", working, waiting, g.queues, g.turns)
	}
}

// While all work that can be done is done, more is refused with a hint when to
// come back; what makes no work, and running the service, is answered.
func TestBusyService(t *testing.T) {
	s := serverWith(t, Config{Store: newStore(t), Concurrency: 1, QueueLength: 1, QueueWait: 20 * time.Millisecond})
	if err := s.gate.enter(t.Context(), "quay"); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]int{
		"/v1/examples/quay/solve": http.StatusServiceUnavailable, "/v1/examples/quay/view.svg": http.StatusServiceUnavailable,
		"/healthz": 200, "/readyz": 200, "/metrics": 200, "/v1/designs": 200, "/v1/examples": 200,
	} {
		w := get(t, s, path)
		if w.Code != want || (w.Header().Get("Retry-After") != "") != (want != 200) {
			t.Errorf("%s: %d %v", path, w.Code, w.Header())
		}
		if want != 200 && !strings.Contains(w.Body.String(), busy.address()) {
			t.Errorf("%s: %s", path, w.Body)
		}
	}
	if w := post(t, s, "/v1/solve", `{"example":"quay"}`); w.Code != http.StatusServiceUnavailable {
		t.Errorf("solve: %d", w.Code)
	}
	said := get(t, s, "/metrics").Body.String()
	for _, line := range []string{
		"foldwright_queue_working 1", "foldwright_queue_waiting 0", "foldwright_queue_wait_seconds_count 3",
		`foldwright_refused_total{problem="busy"} 3`, `foldwright_refused_total{problem="forbidden"} 0`,
	} {
		if !strings.Contains(said, line) {
			t.Errorf("the metrics do not say %s", line)
		}
	}
	s.gate.leave()
	if w := post(t, s, "/v1/solve", `{"example":"quay"}`); w.Code != http.StatusOK {
		t.Errorf("solve when there is room again: %d %s", w.Code, w.Body)
	}
}

// The time limit is for the work, not for the wait.
func TestWaitingCostsNoWorkingTime(t *testing.T) {
	const limit = 500 * time.Millisecond // far more than the check takes
	s := serverWith(t, Config{Store: newStore(t), Concurrency: 1, RequestTimeout: limit})
	if err := s.gate.enter(t.Context(), "quay"); err != nil {
		t.Fatal(err)
	}
	answered := make(chan *httptest.ResponseRecorder, 1)
	go func() { answered <- post(t, s, "/v1/check", `{"example":"quay"}`) }()
	time.Sleep(2 * limit)
	s.gate.leave()
	if w := <-answered; w.Code != http.StatusOK {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}
