package hooks_test

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/api/hooks"
	"foldwright/api/leased/leasedtest"
	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/postgres/pgtest"
	"foldwright/storage/sqlite"

	webhook "github.com/standard-webhooks/standard-webhooks/libraries/go"
)

// senderPath names, to a copy of this test binary, the file whose events it is to
// send until it is killed.
const senderPath = "FOLDWRIGHT_TEST_SENDER_PATH"

func TestMain(m *testing.M) {
	if path := os.Getenv(senderPath); path != "" {
		sendUntilKilled(path)
	}
	os.Exit(pgtest.Run(m))
}

func sendUntilKilled(path string) {
	store, err := sqlite.Open(context.Background(), path, storage.Options{})
	if err != nil {
		panic(err)
	}
	w := newWorkers(store)
	w.Times.Answer = time.Hour
	w.Run(context.Background())
}

// quick is short enough for tests and long enough for a busy machine.
var quick = hooks.Times{
	Lease: 2 * time.Second, Pace: 20 * time.Millisecond, Sweep: time.Second, Answer: time.Minute, Grace: 50 * time.Millisecond,
}

// patience is how long a test waits for what must come.
const patience = time.Minute

func newWorkers(queue storage.HookQueue) *hooks.Workers {
	return &hooks.Workers{
		Queue: queue, Number: 4, Times: quick, Reach: hooks.Reach{Loopback: true}, Agent: "foldwright/test", Log: slog.New(slog.DiscardHandler),
		Body: func(workspace string, e *storage.Event) ([]byte, error) {
			return json.Marshal(workspace + " " + string(e.Type))
		},
		Attempt: func(ctx context.Context, _ *storage.DeliveryClaim) (context.Context, func(*storage.DeliveryOutcome)) {
			return ctx, func(*storage.DeliveryOutcome) {}
		},
	}
}

// receiver notes what it is sent, and answers what the test says.
type receiver struct {
	*httptest.Server
	secret string
	got    chan received
}

type received struct {
	id, body string
	genuine  error
	header   http.Header
}

func newReceiver(t *testing.T, answer func(w http.ResponseWriter, r *http.Request)) *receiver {
	r := &receiver{secret: hooks.NewSecret(), got: make(chan received, 1000)}
	check, err := webhook.NewWebhook(r.secret)
	if err != nil {
		t.Fatal(err)
	}
	r.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, request *http.Request) {
		body, err := io.ReadAll(request.Body)
		if err == nil {
			err = check.Verify(body, request.Header)
		}
		r.got <- received{request.Header.Get("webhook-id"), string(body), err, request.Header}
		answer(w, request)
	}))
	t.Cleanup(r.Close)
	return r
}

func (r *receiver) next(t *testing.T) received {
	t.Helper()
	select {
	case got := <-r.got:
		if got.genuine != nil {
			t.Errorf("received what is not genuine: %v", got.genuine)
		}
		return got
	case <-time.After(patience):
		t.Fatal("nothing was received")
	}
	return received{}
}

func status(code int) func(http.ResponseWriter, *http.Request) {
	return func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(code) }
}

func (r *receiver) hook(t *testing.T, store storage.Database) storage.Hook {
	t.Helper()
	h, err := store.In(access.Local).AddHook(t.Context(), storage.NewHook{URL: r.URL + "/hooks?berth=3", Events: storage.EventTypes, Secret: r.secret})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func create(t *testing.T, store storage.Database) {
	t.Helper()
	if _, _, _, err := store.In(access.Local).Create(t.Context(), storage.NewVersion{Title: "Gull", Hash: "sha256:01"}, storage.IdempotencyKey{}); err != nil {
		t.Fatal(err)
	}
}

func deliveries(t *testing.T, store storage.Database, h storage.Hook) []storage.Delivery {
	t.Helper()
	page, err := store.In(access.Local).Deliveries(t.Context(), h.ID, storage.VersionQuery{})
	if err != nil {
		t.Fatal(err)
	}
	return page.Deliveries
}

// reaches waits until the only delivery of a hook is as it must become.
func reaches(t *testing.T, store storage.Database, h storage.Hook, what string, is func(storage.Delivery) bool) storage.Delivery {
	t.Helper()
	for end := time.Now().Add(patience); ; time.Sleep(20 * time.Millisecond) {
		d := deliveries(t, store, h)[0]
		if is(d) {
			return d
		}
		if time.Now().After(end) {
			t.Fatalf("not %s: %+v", what, d)
		}
	}
}

func delivered(d storage.Delivery) bool { return d.State == storage.DeliveryDelivered }

// settled is a delivery whose last attempt is over.
func settled(attempts int) func(storage.Delivery) bool {
	return func(d storage.Delivery) bool { return d.Attempts == attempts && d.Error != "" }
}

func TestAnEventArrivesSigned(t *testing.T) {
	leasedtest.OnBoth(t, func(t *testing.T, open func() storage.Database) {
		store := open()
		r := newReceiver(t, status(http.StatusNoContent))
		h := r.hook(t, store)
		w := newWorkers(store)
		told := make(chan storage.DeliveryOutcome, 3)
		w.Attempt = func(ctx context.Context, _ *storage.DeliveryClaim) (context.Context, func(*storage.DeliveryOutcome)) {
			return ctx, func(o *storage.DeliveryOutcome) { told <- *o }
		}
		leasedtest.Start(t, w.Run)
		create(t, store)
		got := r.next(t)
		d := reaches(t, store, h, "delivered", delivered)
		if got.id != d.Event.ID || got.body != `"local design.created"` || d.Status != http.StatusNoContent || d.Attempts != 1 {
			t.Errorf("received %+v, kept %+v", got, d)
		}
		if got.header.Get("Content-Type") != "application/json" || got.header.Get("User-Agent") != "foldwright/test" {
			t.Errorf("received with %v", got.header)
		}
		if o := <-told; o.State != storage.DeliveryDelivered {
			t.Errorf("told %+v", o)
		}
		if _, err := store.In(access.Local).Replay(t.Context(), h.ID, d.Event.ID); err != nil {
			t.Fatal(err)
		}
		if again := r.next(t); again.id != got.id || again.body != got.body {
			t.Errorf("replayed %+v, was %+v", again, got)
		}
		if _, err := store.In(access.Local).PingHook(t.Context(), h.ID); err != nil {
			t.Fatal(err)
		}
		if ping := r.next(t); ping.body != `"local hook.pinged"` {
			t.Errorf("pinged %+v", ping)
		}
	})
}

func TestWhatFailsIsTriedAgain(t *testing.T) {
	leasedtest.OnBoth(t, func(t *testing.T, open func() storage.Database) {
		store := open()
		answers := make(chan int, 2)
		answers <- http.StatusInternalServerError
		answers <- http.StatusOK
		r := newReceiver(t, func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(<-answers) })
		h := r.hook(t, store)
		leasedtest.Start(t, newWorkers(store).Run)
		create(t, store)
		first := r.next(t)
		d := reaches(t, store, h, "failed", settled(1))
		if d.State != storage.DeliveryPending || d.Status != http.StatusInternalServerError || !d.DueAt.After(time.Now()) {
			t.Errorf("failed %+v", d)
		}
		if _, err := store.In(access.Local).Replay(t.Context(), h.ID, d.Event.ID); err != nil { // sooner than it is due
			t.Fatal(err)
		}
		if second := r.next(t); second.id != first.id {
			t.Errorf("tried %s, then %s", first.id, second.id)
		}
		reaches(t, store, h, "delivered", delivered)
		if got, err := store.In(access.Local).Hook(t.Context(), h.ID); err != nil || got.Failures != 0 || got.FailingSince != nil {
			t.Errorf("hook %+v, %v", got, err)
		}
	})
}

// One receiver that never answers keeps no other waiting, and is given up on.
func TestSilenceIsAFailureOfOneHookAlone(t *testing.T) {
	store := openSQLite(t, filepath.Join(t.TempDir(), "harbour.db"))
	over := make(chan struct{})
	silent := newReceiver(t, func(http.ResponseWriter, *http.Request) { <-over })
	defer close(over)
	quiet := silent.hook(t, store)
	good := newReceiver(t, status(http.StatusOK))
	h := good.hook(t, store)
	w := newWorkers(store)
	w.Number, w.Times.Answer = 2, time.Second
	leasedtest.Start(t, w.Run)
	for range 5 {
		create(t, store)
	}
	for range 5 {
		good.next(t)
	}
	if list := deliveries(t, store, h); len(list) != 5 {
		t.Errorf("delivered %+v", list)
	}
	silent.next(t)
	for end := time.Now().Add(patience); ; time.Sleep(20 * time.Millisecond) {
		list := deliveries(t, store, quiet)
		tried := slices.IndexFunc(list, settled(1))
		if tried >= 0 {
			if list[tried].Error != "no answer came in time" || list[tried].Status != 0 {
				t.Errorf("failed %+v", list[tried])
			}
			break
		}
		if time.Now().After(end) {
			t.Fatal("waits for ever")
		}
	}
}

func openSQLite(t *testing.T, path string) storage.Database {
	t.Helper()
	store, err := sqlite.Open(t.Context(), path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	return store
}

func TestAReceiverThatWantsNothingMoreIsSwitchedOff(t *testing.T) {
	store := openSQLite(t, filepath.Join(t.TempDir(), "harbour.db"))
	r := newReceiver(t, status(http.StatusGone))
	h := r.hook(t, store)
	leasedtest.Start(t, newWorkers(store).Run)
	create(t, store)
	r.next(t)
	d := reaches(t, store, h, "failed", settled(1))
	got, err := store.In(access.Local).Hook(t.Context(), h.ID)
	if err != nil || got.OffAt == nil || !strings.Contains(got.OffWhy, "410") || d.State != storage.DeliveryFailed {
		t.Errorf("hook %+v, %v after %+v", got, err, d)
	}
	create(t, store)
	if list := deliveries(t, store, h); len(list) != 1 {
		t.Errorf("announced to a hook that is off: %+v", list)
	}
}

// A redirect is an answer like another: what it leads to was not checked.
func TestRedirectsAreNotFollowed(t *testing.T) {
	store := openSQLite(t, filepath.Join(t.TempDir(), "harbour.db"))
	elsewhere := newReceiver(t, status(http.StatusOK))
	r := newReceiver(t, func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, elsewhere.URL, http.StatusTemporaryRedirect)
	})
	h := r.hook(t, store)
	leasedtest.Start(t, newWorkers(store).Run)
	create(t, store)
	d := reaches(t, store, h, "failed", settled(1))
	if d.Status != http.StatusTemporaryRedirect || len(elsewhere.got) != 0 {
		t.Errorf("followed: %+v", d)
	}
}

// What a name resolves to is judged when it is dialled, whatever it was when the
// hook was made; and no proxy of the environment is asked to.
func TestNoNameLeadsInside(t *testing.T) {
	store := openSQLite(t, filepath.Join(t.TempDir(), "harbour.db"))
	r := newReceiver(t, status(http.StatusOK))
	t.Setenv("HTTP_PROXY", r.URL)
	t.Setenv("HTTPS_PROXY", r.URL)
	w := newWorkers(store)
	w.Reach = hooks.Reach{}
	leasedtest.Start(t, w.Run)
	for _, url := range []string{strings.Replace(r.URL, "127.0.0.1", "localhost", 1), r.URL, "https://169.254.169.254/latest?key=gull"} {
		h, err := store.In(access.Local).AddHook(t.Context(), storage.NewHook{URL: url, Events: storage.EventTypes, Secret: r.secret})
		if err != nil {
			t.Fatal(err)
		}
		create(t, store)
		d := reaches(t, store, h, "failed", settled(1))
		if d.Status != 0 || d.Error != "the name leads to an address inside the network" {
			t.Errorf("%s: %+v", url, d)
		}
		if err := store.In(access.Local).DeleteHook(t.Context(), h.ID); err != nil {
			t.Fatal(err)
		}
	}
	if len(r.got) != 0 {
		t.Errorf("received %+v", <-r.got)
	}
}

// A service that is stopped puts back what is not answered soon, at once and
// without using up an attempt.
func TestStoppingPutsDeliveriesBack(t *testing.T) {
	leasedtest.OnBoth(t, func(t *testing.T, open func() storage.Database) {
		store := open()
		over := make(chan struct{})
		r := newReceiver(t, func(http.ResponseWriter, *http.Request) { <-over })
		defer close(over)
		h := r.hook(t, store)
		stop := leasedtest.Start(t, newWorkers(store).Run)
		create(t, store)
		r.next(t)
		stop()
		if d := deliveries(t, store, h)[0]; d.State != storage.DeliveryPending || d.Attempts != 0 || d.Error != "" {
			t.Errorf("put back %+v", d)
		}
		if c, err := store.ClaimDelivery(t.Context(), time.Minute); err != nil || c.Hook.ID != h.ID {
			t.Errorf("claimed at once %+v, %v", c, err)
		}
	})
}

// And lets what is answered soon finish.
func TestStoppingLetsDeliveriesFinish(t *testing.T) {
	store := openSQLite(t, filepath.Join(t.TempDir(), "harbour.db"))
	answer := make(chan struct{})
	r := newReceiver(t, func(http.ResponseWriter, *http.Request) { <-answer })
	h := r.hook(t, store)
	w := newWorkers(store)
	w.Times.Grace = patience
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { defer close(ended); w.Run(ctx) }()
	create(t, store)
	r.next(t)
	cancel()
	close(answer)
	<-ended
	if d := deliveries(t, store, h)[0]; d.State != storage.DeliveryDelivered || d.Attempts != 1 {
		t.Errorf("finished %+v", d)
	}
}

// What a process leaves that is killed while it waits for an answer, another
// sends again.
func TestWhatAKilledProcessLeavesIsTakenOver(t *testing.T) {
	path := filepath.Join(t.TempDir(), "harbour.db")
	store := openSQLite(t, path)
	over := make(chan struct{})
	var once sync.Once
	r := newReceiver(t, func(http.ResponseWriter, *http.Request) { once.Do(func() { <-over }) })
	h := r.hook(t, store)
	create(t, store)

	worker := exec.CommandContext(t.Context(), os.Args[0])
	worker.Env = append(os.Environ(), senderPath+"="+path)
	errors, err := worker.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := worker.Start(); err != nil {
		t.Fatal(err)
	}
	first := r.next(t)
	if err := worker.Process.Kill(); err != nil {
		t.Error(err)
	}
	said, _ := bufio.NewReader(errors).ReadString('\n')
	if err := worker.Wait(); err == nil || said != "" {
		t.Errorf("the worker ended by itself: %v, %s", err, said)
	}
	close(over)
	if d := deliveries(t, store, h)[0]; d.State != storage.DeliveryPending || d.Attempts != 1 {
		t.Fatalf("left %+v", d)
	}
	leasedtest.Start(t, newWorkers(store).Run)
	second := r.next(t)
	d := reaches(t, store, h, "taken over", delivered)
	if second.id != first.id || d.Attempts != 2 {
		t.Errorf("sent %s, then %s: %+v", first.id, second.id, d)
	}
}

// Several services on one store send each event once, in order.
func TestServicesShareTheWork(t *testing.T) {
	leasedtest.OnBoth(t, func(t *testing.T, open func() storage.Database) {
		here, there := open(), open()
		const events = 20
		receivers := []*receiver{newReceiver(t, status(http.StatusOK)), newReceiver(t, status(http.StatusOK)), newReceiver(t, status(http.StatusOK))}
		made := []storage.Hook{}
		for _, r := range receivers {
			made = append(made, r.hook(t, here))
		}
		leasedtest.Start(t, newWorkers(here).Run)
		leasedtest.Start(t, newWorkers(there).Run)
		for range events {
			create(t, here)
		}
		for i, r := range receivers {
			order := []string{}
			for range events {
				order = append(order, r.next(t).id)
			}
			for end := time.Now().Add(patience); slices.ContainsFunc(deliveries(t, there, made[i]), func(d storage.Delivery) bool { return !delivered(d) }); time.Sleep(20 * time.Millisecond) {
				if time.Now().After(end) {
					t.Fatal("not all were delivered")
				}
			}
			list := deliveries(t, there, made[i])
			for k, d := range list {
				if want := order[events-1-k]; d.Attempts != 1 || d.Event.ID != want {
					t.Errorf("hook %d: %+v, received %s", i, d, want)
				}
			}
			if len(list) != events || len(r.got) != 0 {
				t.Errorf("hook %d: %d events, %d received twice", i, len(list), len(r.got))
			}
		}
	})
}
