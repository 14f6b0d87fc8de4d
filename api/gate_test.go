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

// atRest holds that nothing is left in a gate.
func atRest(t *testing.T, g *gate) {
	t.Helper()
	if working, waiting := g.lengths(); working != 0 || waiting != 0 || len(g.held) != 0 || len(g.queues) != 0 || len(g.turns) != 0 {
		t.Errorf("%d work, %d wait, %v, %v, %v", working, waiting, g.held, g.queues, g.turns)
	}
}

// entered is a place that is there at once.
func entered(t *testing.T, g *gate, client string) *workplace {
	t.Helper()
	p, err := g.enter(t.Context(), client)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// One client has sent five requests before the other sends one.
func TestClientsTakeTurns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(1, 100, time.Minute, DefaultTimeout)
		var (
			mu    sync.Mutex
			order []string
		)
		work := func(client string) {
			go func() {
				p, err := g.enter(t.Context(), client)
				if err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				order = append(order, client)
				mu.Unlock()
				time.Sleep(time.Second)
				g.leave(p)
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
		if want := []string{"quay", "mill", "hill", "quay", "mill", "quay", "quay", "quay"}; !slices.Equal(order, want) {
			t.Errorf("worked in the order %v, want %v", order, want)
		}
		atRest(t, g)
	})
}

func TestQueueIsBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(2, 3, time.Minute, DefaultTimeout)
		working := []*workplace{entered(t, g, "quay"), entered(t, g, "mill")}
		ends, places := make(chan error, 10), make(chan *workplace, 10)
		wait := func(client string) {
			go func() {
				p, err := g.enter(t.Context(), client)
				if err == nil {
					places <- p
				}
				ends <- err
			}()
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
		for _, p := range working {
			g.leave(p)
		}
		for range 3 {
			if err := <-ends; err != nil {
				t.Error(err)
			}
			g.leave(<-places)
		}
		atRest(t, g)
	})
}

// However much one client has at work and waiting, another finds a place.
func TestOneClientLeavesAPlace(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(3, 100, 10*time.Second, DefaultTimeout)
		quay := []*workplace{entered(t, g, "quay"), entered(t, g, "quay")}
		const others = 4
		order := make(chan string, 4)
		for range others {
			go func() {
				p, err := g.enter(t.Context(), "quay")
				if f, ok := errors.AsType[*fault](err); !ok || f.reason != reasonOwnShare {
					t.Errorf("%v", err)
					g.leave(p)
				}
			}()
		}
		synctest.Wait()
		if working, waiting := g.lengths(); working != 2 || waiting != others {
			t.Errorf("%d work, %d wait", working, waiting)
		}
		mill := entered(t, g, "mill")
		time.Sleep(11 * time.Second) // the others have given up
		for _, client := range []string{"quay", "mill", "quay", "hill"} {
			go func() {
				p, err := g.enter(t.Context(), client)
				if err != nil {
					t.Error(err)
					return
				}
				order <- client
				time.Sleep(time.Second)
				g.leave(p)
			}()
			synctest.Wait()
		}
		// Who has none is next, then who waits for longest of those who have one.
		g.leave(quay[0])
		time.Sleep(time.Second)
		synctest.Wait()
		if first, second := <-order, <-order; first != "hill" || second != "mill" || len(order) > 0 {
			t.Errorf("worked: %s, then %s, and %d more", first, second, len(order))
		}
		g.leave(quay[1])
		g.leave(mill)
		time.Sleep(time.Minute)
		if len(order) != 2 {
			t.Errorf("the others: %d", len(order))
		}
		atRest(t, g)
	})
}

// With one place, whoever waits for another's longest work is told how long
// that may take yet, and is next after it, though the other has more to do.
func TestLongWorkKeepsNobodyOut(t *testing.T) {
	const work = DefaultTimeout + time.Second                                    // told to end, it does soon
	for comes := time.Second / 2; comes < DefaultTimeout; comes += time.Second { // never just as the work ends
		synctest.Test(t, func(t *testing.T) {
			g := newGate(1, 100, DefaultQueueWait, DefaultTimeout)
			ctx, stop := context.WithCancel(t.Context())
			for range 3 {
				go func() {
					for ctx.Err() == nil {
						if p, err := g.enter(ctx, "quay"); err == nil {
							time.Sleep(work)
							g.leave(p)
						}
					}
				}()
			}
			start := time.Now()
			time.Sleep(comes)
			for tries := 1; ; tries++ {
				p, err := g.enter(t.Context(), "mill")
				if err == nil {
					g.leave(p)
					break
				}
				f, _ := errors.AsType[*fault](err)
				if tries > 1 || f.kind != busy || f.reason != reasonWaited {
					t.Fatalf("came after %v: refused %d times: %v", comes, tries, err)
				}
				time.Sleep(f.after)
			}
			if took := time.Since(start); took != work {
				t.Errorf("came after %v: in after %v", comes, took)
			}
			stop()
			time.Sleep(5 * time.Minute)
			atRest(t, g)
		})
	}
}

func TestTheWaitIsEstimated(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(3, 100, time.Hour, DefaultTimeout)
		hold := func(want time.Duration, client, why string) {
			t.Helper()
			if got := g.estimate(client); got != want {
				t.Errorf("%s: %v, want %v", why, got, want)
			}
		}
		ctx, stop := context.WithCancel(t.Context())
		send := func(client string, many int) {
			for range many {
				go func() {
					if p, err := g.enter(ctx, client); err == nil {
						g.leave(p)
					}
				}()
			}
			synctest.Wait()
		}
		p := entered(t, g, "quay")
		time.Sleep(6 * time.Second)
		g.leave(p)
		working := []*workplace{entered(t, g, "quay"), entered(t, g, "quay"), entered(t, g, "mill")}
		send("quay", 5)
		hold(6*time.Second, "hill", "who has none at work is next, when the work under way has taken the usual time")
		hold((6+5*6/2)*time.Second, "quay", "after five of its own, in two places")
		send("mill", 1)
		send("hill", 1)
		hold((6+2*6/3)*time.Second, "hill", "after one of its own and one of mill, in three places")
		hold((6+6/3)*time.Second, "gull", "after one of hill")
		time.Sleep(5 * time.Second)
		hold(5*time.Second+10*time.Second/3, "gull", "nobody knows whether it takes the usual time")
		time.Sleep(4 * time.Second)
		hold((9+18/3)*time.Second, "gull", "it has taken longer than usual, and may take that once more")
		time.Sleep(11 * time.Second)
		hold(5*time.Second+25*time.Second/3, "gull", "but not longer than the limit")
		time.Sleep(10 * time.Second)
		hold((0+30/3)*time.Second, "gull", "which is over, so it ends soon")
		send("hill", 60)
		hold(longestHint, "hill", "longer than can be known")
		stop()
		synctest.Wait()
		for _, p := range working {
			g.leave(p)
		}
		atRest(t, g)
	})
}

func TestWaitingEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(1, 10, 10*time.Second, DefaultTimeout)
		entered(t, g, "quay")
		start := time.Now()
		if _, err := g.enter(t.Context(), "quay"); refusedAs(err) != busy || time.Since(start) != 10*time.Second {
			t.Errorf("%v after %v", err, time.Since(start))
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		start = time.Now()
		if _, err := g.enter(ctx, "mill"); !errors.Is(err, context.DeadlineExceeded) || time.Since(start) != time.Second {
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
	g := newGate(2, 1000, time.Minute, DefaultTimeout)
	var all sync.WaitGroup
	for i := range 400 {
		all.Go(func() {
			ctx, cancel := context.WithTimeout(t.Context(), time.Duration(i%7)*200*time.Microsecond)
			defer cancel()
			if p, err := g.enter(ctx, string(rune('a'+i%5))); err == nil {
				time.Sleep(100 * time.Microsecond)
				g.leave(p)
			}
		})
	}
	all.Wait()
	atRest(t, g)
}

// While all work that can be done is done, more is refused with a hint when to
// come back; what makes no work, and running the service, is answered.
func TestBusyService(t *testing.T) {
	s := serverWith(t, Config{Store: newStore(t), Concurrency: 1, QueueLength: 1, QueueWait: 20 * time.Millisecond})
	quay := entered(t, s.gate, "quay")
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
		`foldwright_refused_total{problem="busy",reason="waited_too_long"} 3`, `foldwright_refused_total{problem="busy",reason="queue_full"} 0`,
	} {
		if !strings.Contains(said, line) {
			t.Errorf("the metrics do not say %s", line)
		}
	}
	s.gate.leave(quay)
	if w := post(t, s, "/v1/solve", `{"example":"quay"}`); w.Code != http.StatusOK {
		t.Errorf("solve when there is room again: %d %s", w.Code, w.Body)
	}
}

// While one client's work takes all its share, another's is answered.
func TestOthersAreAnswered(t *testing.T) {
	s := serverWith(t, Config{Store: newStore(t), Concurrency: 2})
	entered(t, s.gate, "quay")
	go func() { _, _ = s.gate.enter(t.Context(), "quay") }()
	if w := post(t, s, "/v1/solve", `{"example":"quay"}`); w.Code != http.StatusOK {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

// The time limit is for the work, not for the wait.
func TestWaitingCostsNoWorkingTime(t *testing.T) {
	const limit = 500 * time.Millisecond // far more than the check takes
	s := serverWith(t, Config{Store: newStore(t), Concurrency: 1, RequestTimeout: limit})
	quay := entered(t, s.gate, "quay")
	answered := make(chan *httptest.ResponseRecorder, 1)
	go func() { answered <- post(t, s, "/v1/check", `{"example":"quay"}`) }()
	time.Sleep(2 * limit)
	s.gate.leave(quay)
	if w := <-answered; w.Code != http.StatusOK {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}
