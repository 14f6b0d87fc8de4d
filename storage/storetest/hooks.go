package storetest

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"sync"
	"testing"
	"time"

	"foldwright/storage"

	"go.opentelemetry.io/otel/propagation"
)

var hookTests = []test{
	{"events and jobs keep the trace in which they were made", func(t *testing.T, db database) {
		// From the examples of W3C Trace Context, from memory.
		const parent = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01"
		ctx := propagation.TraceContext{}.Extract(t.Context(), propagation.MapCarrier{"traceparent": parent})
		b := db.store(storage.Options{Now: ticking()})
		s := b.In("quay")
		h := addHook(t, s, storage.EventTypes...)
		for _, tc := range []struct {
			in   context.Context
			want string
		}{{ctx, parent}, {t.Context(), ""}} {
			if _, _, _, err := s.Create(tc.in, lighthouse(1), noKey); err != nil {
				t.Fatal(err)
			}
			page, err := s.Deliveries(t.Context(), h.ID, storage.VersionQuery{Limit: 1})
			if err != nil || len(page.Deliveries) != 1 || page.Deliveries[0].Event.About.Trace != tc.want {
				t.Errorf("delivery %+v, %v, want of %q", page, err, tc.want)
			}
			if _, _, err := s.AddJob(tc.in, storage.NewJob{Operation: "fit", Request: []byte("{}")}, noKey); err != nil {
				t.Fatal(err)
			}
			if c, err := b.ClaimJob(t.Context(), time.Minute); err != nil || c.Trace != tc.want {
				t.Errorf("job %+v, %v, want of %q", c, err, tc.want)
			}
		}
	}},

	{"what is returned is what is kept", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		s := b.In("quay")
		first := addHook(t, s, storage.VersionCreated, storage.JobEnded)
		second := addHook(t, s, storage.DesignDeleted)
		if first.OffAt != nil || first.URL != "https://workshop.example/hooks" || first.Workspace != "quay" || !first.CreatedAt.Before(second.CreatedAt) {
			t.Errorf("made %+v, then %+v", first, second)
		}
		if got, err := s.Hooks(t.Context()); err != nil || !reflect.DeepEqual(got, []storage.Hook{first, second}) {
			t.Errorf("kept\n%+v, %v, made\n%+v\n%+v", got, err, first, second)
		}
		changed, err := s.ChangeHook(t.Context(), first.ID, storage.HookChange{URL: new("https://gull.example/"), Events: []storage.EventType{storage.DesignCreated}, On: new(false)})
		if err != nil || changed.URL != "https://gull.example/" || !slices.Equal(changed.Events, []storage.EventType{storage.DesignCreated}) || changed.OffAt == nil || changed.OffWhy == "" {
			t.Errorf("changed %+v, %v", changed, err)
		}
		if got, err := s.Hook(t.Context(), first.ID); err != nil || !reflect.DeepEqual(got, changed) {
			t.Errorf("kept\n%+v, %v, changed\n%+v", got, err, changed)
		}
		if err := s.DeleteHook(t.Context(), first.ID); err != nil {
			t.Fatal(err)
		}
		if got, err := s.Hooks(t.Context()); err != nil || !reflect.DeepEqual(got, []storage.Hook{second}) {
			t.Errorf("after deleting %+v, %v", got, err)
		}
	}},

	{"what makes no hook is refused", func(t *testing.T, db database) {
		s := db.store(storage.Options{}).In("quay")
		good := storage.NewHook{URL: "https://workshop.example/", Events: []storage.EventType{storage.JobEnded}, Secret: "whsec_"}
		for why, spoil := range map[string]func(*storage.NewHook){
			"no address":       func(h *storage.NewHook) { h.URL = "" },
			"NUL":              func(h *storage.NewHook) { h.URL += "\x00" },
			"no events":        func(h *storage.NewHook) { h.Events = nil },
			"an unknown event": func(h *storage.NewHook) { h.Events = []storage.EventType{"tide.turned"} },
			"a ping":           func(h *storage.NewHook) { h.Events = []storage.EventType{storage.HookPinged} },
			"no secret":        func(h *storage.NewHook) { h.Secret = "" },
		} {
			h := good
			spoil(&h)
			if _, err := s.AddHook(t.Context(), h); !errors.Is(err, storage.ErrInvalid) {
				t.Errorf("%s: %v", why, err)
			}
		}
		for range storage.MaxHooks {
			addHook(t, s, storage.JobEnded)
		}
		var full *storage.QuotaError
		if _, err := s.AddHook(t.Context(), good); !errors.As(err, &full) || full.What != "hooks" {
			t.Errorf("one more: %v", err)
		}
	}},

	{"every change is announced once, to who asks for it", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		s := b.In("quay")
		all, some := addHook(t, s, storage.EventTypes...), addHook(t, s, storage.DesignDeleted)
		elsewhere, off := addHook(t, b.In("mill"), storage.EventTypes...), addHook(t, s, storage.EventTypes...)
		if _, err := s.ChangeHook(t.Context(), off.ID, storage.HookChange{On: new(false)}); err != nil {
			t.Fatal(err)
		}
		key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
		var d storage.Design
		for range 2 { // the second replays the first
			var err error
			if d, _, _, err = s.Create(t.Context(), lighthouse(1), key); err != nil {
				t.Fatal(err)
			}
		}
		add(t, s, d.ID, 1, lighthouse(2))
		add(t, s, d.ID, 2, lighthouse(2)) // nothing new
		if _, _, _, err := s.AddVersion(t.Context(), d.ID, 1, lighthouse(3), noKey); !errors.Is(err, storage.ErrConflict) {
			t.Fatal(err)
		}
		if err := s.Delete(t.Context(), d.ID, 0); err != nil {
			t.Fatal(err)
		}
		for range 2 { // the second changes nothing
			if _, _, err := s.Restore(t.Context(), d.ID); err != nil {
				t.Fatal(err)
			}
		}
		want := []storage.Event{
			{Type: storage.DesignCreated, About: storage.EventAbout{Design: d.ID, Version: 1, Hash: lighthouse(1).Hash}},
			{Type: storage.VersionCreated, About: storage.EventAbout{Design: d.ID, Version: 2, Hash: lighthouse(2).Hash}},
			{Type: storage.DesignDeleted, About: storage.EventAbout{Design: d.ID, Version: 2}},
			{Type: storage.DesignRestored, About: storage.EventAbout{Design: d.ID, Version: 2}},
		}
		announced(t, s, all.ID, want...)
		announced(t, s, some.ID, want[2])
		announced(t, s, off.ID)
		announced(t, b.In("mill"), elsewhere.ID)
	}},

	{"every end of a job is announced once", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		s := b.In("quay")
		h := addHook(t, s, storage.JobEnded)
		var want []storage.Event
		expect := func(j storage.Job, state storage.JobState) {
			want = append(want, storage.Event{Type: storage.JobEnded, About: storage.EventAbout{Job: j.ID, Operation: "fit", State: state}})
		}
		step := func() { now = now.Add(time.Second) }

		step()
		expect(addJob(t, s, "fit"), storage.JobDone)
		c := claimed(t, b)
		for range 2 {
			err := b.EndJob(t.Context(), c, storage.JobOutcome{State: storage.JobDone})
			if err != nil && !errors.Is(err, storage.ErrConflict) {
				t.Fatal(err)
			}
		}
		step()
		j := addJob(t, s, "fit")
		expect(j, storage.JobCancelled)
		for range 2 {
			if _, err := s.CancelJob(t.Context(), j.ID); err != nil {
				t.Fatal(err)
			}
		}
		step()
		expect(addJob(t, s, "fit"), storage.JobFailed)
		for range storage.MaxJobAttempts {
			claimed(t, b)
			now = now.Add(lease + time.Second)
		}
		for range 2 {
			if _, err := b.SweepJobs(t.Context(), nil); err != nil {
				t.Fatal(err)
			}
		}
		announced(t, s, h.ID, want...)
	}},

	{"a delivery is claimed, fails, is due again and arrives", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 123_456_000, time.UTC)
		start := now
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		s := b.In("quay")
		h := addHook(t, s, storage.DesignCreated)
		create(t, s, lighthouse(1))
		if got, err := b.Backlog(t.Context()); err != nil || got.Pending != 1 || !got.OldestDue.Equal(start) {
			t.Errorf("backlog %+v, %v", got, err)
		}
		now = now.Add(time.Second)
		c := delivering(t, b)
		if c.Secret != "whsec_Z3VsbA==" || !reflect.DeepEqual(c.Hook, h) || c.Attempts != 1 || !c.LastAt.Equal(now) || c.Event.Type != storage.DesignCreated || !c.Event.At.Equal(start) {
			t.Errorf("claimed %+v", c)
		}
		nothingToDeliver(t, b)
		failed := storage.DeliveryOutcome{State: storage.DeliveryPending, Status: 500, Error: "the answer was 500", After: time.Minute, Pause: time.Minute}
		if err := b.EndDelivery(t.Context(), c, failed); err != nil {
			t.Fatal(err)
		}
		d := onlyDelivery(t, s, h.ID)
		if d.State != storage.DeliveryPending || d.Status != 500 || d.Error != failed.Error || !d.DueAt.Equal(now.Add(time.Minute)) || d.ExpiresAt != nil {
			t.Errorf("failed %+v", d)
		}
		if got, err := s.Hook(t.Context(), h.ID); err != nil || got.Failures != 1 || !got.FailingSince.Equal(now) {
			t.Errorf("hook %+v, %v", got, err)
		}
		if got, err := b.Backlog(t.Context()); err != nil || got.Pending != 1 || got.OldestDue != nil {
			t.Errorf("backlog before it is due %+v, %v", got, err)
		}
		failing := now
		now = now.Add(time.Minute - time.Microsecond)
		nothingToDeliver(t, b)
		now = now.Add(time.Microsecond)
		c = delivering(t, b)
		if c.Attempts != 2 || c.Hook.Failures != 1 {
			t.Errorf("claimed again %+v", c)
		}
		if err := b.EndDelivery(t.Context(), c, failed); err != nil {
			t.Fatal(err)
		}
		if got, err := s.Hook(t.Context(), h.ID); err != nil || got.Failures != 2 || !got.FailingSince.Equal(failing) {
			t.Errorf("hook %+v, %v", got, err)
		}
		now = now.Add(time.Minute)
		c = delivering(t, b)
		if err := b.EndDelivery(t.Context(), c, storage.DeliveryOutcome{State: storage.DeliveryDelivered, Status: 204}); err != nil {
			t.Fatal(err)
		}
		d = onlyDelivery(t, s, h.ID)
		if d.State != storage.DeliveryDelivered || d.Status != 204 || d.Error != "" || d.DueAt != nil || !d.ExpiresAt.Equal(now.Add(storage.DeliveryRetention)) {
			t.Errorf("delivered %+v", d)
		}
		if got, err := s.Hook(t.Context(), h.ID); err != nil || got.Failures != 0 || got.FailingSince != nil {
			t.Errorf("hook %+v, %v", got, err)
		}
		if err := b.EndDelivery(t.Context(), c, failed); !errors.Is(err, storage.ErrConflict) {
			t.Errorf("settled twice: %v", err)
		}
		nothingToDeliver(t, b)
	}},

	{"a claim of a hook is taken over, and lost", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		s := b.In("quay")
		addHook(t, s, storage.DesignCreated)
		create(t, s, lighthouse(1))
		first := delivering(t, b)
		now = now.Add(lease)
		nothingToDeliver(t, b) // a lease ends after its last moment
		now = now.Add(time.Microsecond)
		second := delivering(t, b)
		if second.Event.ID != first.Event.ID || second.Attempts != 2 {
			t.Errorf("taken over %+v", second)
		}
		if err := b.EndDelivery(t.Context(), first, storage.DeliveryOutcome{State: storage.DeliveryDelivered}); !errors.Is(err, storage.ErrConflict) {
			t.Errorf("settled by who lost it: %v", err)
		}
		if err := b.ReleaseDelivery(t.Context(), first); !errors.Is(err, storage.ErrConflict) {
			t.Errorf("released by who lost it: %v", err)
		}
		if err := b.ReleaseDelivery(t.Context(), second); err != nil {
			t.Fatal(err)
		}
		if third := delivering(t, b); third.Attempts != 2 {
			t.Errorf("after a release: attempt %d", third.Attempts)
		}
	}},

	{"hooks take turns, each in the order of its events", func(t *testing.T, db database) {
		b := db.store(storage.Options{Now: ticking()})
		quay, mill := addHook(t, b.In("quay"), storage.DesignCreated), addHook(t, b.In("mill"), storage.DesignCreated)
		for range 3 {
			create(t, b.In("quay"), lighthouse(1))
		}
		create(t, b.In("mill"), lighthouse(1))
		var order []string
		var last time.Time
		for range 4 {
			c, err := b.ClaimDelivery(t.Context(), time.Hour)
			if err != nil {
				t.Fatal(err)
			}
			if err := b.EndDelivery(t.Context(), c, storage.DeliveryOutcome{State: storage.DeliveryDelivered}); err != nil {
				t.Fatal(err)
			}
			order = append(order, c.Hook.ID)
			if c.Hook.ID == quay.ID {
				if !last.Before(c.Event.At) {
					t.Errorf("an event of %v after one of %v", c.Event.At, last)
				}
				last = c.Event.At
			}
		}
		first := slices.Min([]string{quay.ID, mill.ID}) // neither was ever served
		want := []string{quay.ID, mill.ID, quay.ID, quay.ID}
		if first == mill.ID {
			want = []string{mill.ID, quay.ID, quay.ID, quay.ID}
		}
		if !slices.Equal(order, want) {
			t.Errorf("claimed of %v, want %v", order, want)
		}
	}},

	{"many workers deliver every event once", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		other, err := db.open(storage.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer other.Close()
		const hooks, events = 5, 6
		for range hooks {
			addHook(t, b.In("quay"), storage.DesignCreated)
		}
		for range events {
			create(t, b.In("quay"), lighthouse(1))
		}
		var mu sync.Mutex
		done := map[string]int{}
		together(6, func(i int) {
			queue := []storage.HookQueue{b.Backend, other.Backend}[i%2]
			for {
				mu.Lock()
				all := len(done) == hooks*events
				mu.Unlock()
				if all || t.Context().Err() != nil {
					return
				}
				c, err := queue.ClaimDelivery(t.Context(), time.Minute)
				if errors.Is(err, storage.ErrNotFound) {
					continue
				}
				if err == nil {
					mu.Lock()
					done[c.HookID+c.Event.ID]++
					mu.Unlock()
					err = queue.EndDelivery(t.Context(), c, storage.DeliveryOutcome{State: storage.DeliveryDelivered})
				}
				if err != nil {
					t.Error(err)
					return
				}
			}
		})
		for id, n := range done {
			if n != 1 {
				t.Errorf("%s was delivered %d times", id, n)
			}
		}
	}},

	{"a hook that is off gets nothing until it is on again", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		s := b.In("quay")
		h := addHook(t, s, storage.DesignCreated)
		create(t, s, lighthouse(1))
		c := delivering(t, b)
		if err := b.EndDelivery(t.Context(), c, storage.DeliveryOutcome{State: storage.DeliveryPending, After: time.Hour, Pause: time.Hour, Off: "nobody there"}); err != nil {
			t.Fatal(err)
		}
		off, err := s.Hook(t.Context(), h.ID)
		if err != nil || off.OffWhy != "nobody there" || !off.OffAt.Equal(now) {
			t.Errorf("switched off %+v, %v", off, err)
		}
		now = now.Add(2 * time.Hour)
		nothingToDeliver(t, b)
		create(t, s, lighthouse(2)) // goes unannounced
		if got, err := b.Backlog(t.Context()); err != nil || got.Pending != 0 || got.OldestDue != nil {
			t.Errorf("backlog %+v, %v", got, err)
		}
		on, err := s.ChangeHook(t.Context(), h.ID, storage.HookChange{On: new(true)})
		if err != nil || on.OffAt != nil || on.OffWhy != "" || on.Failures != 0 {
			t.Errorf("switched on %+v, %v", on, err)
		}
		if again := delivering(t, b); again.Event.ID != c.Event.ID {
			t.Errorf("delivering %+v", again)
		}
		create(t, s, lighthouse(3))
		if page, err := s.Deliveries(t.Context(), h.ID, storage.VersionQuery{}); err != nil || len(page.Deliveries) != 2 {
			t.Errorf("deliveries %+v, %v", page, err)
		}
	}},

	{"a delivery is replayed, and a hook pinged, at once", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		s := b.In("quay")
		h := addHook(t, s, storage.DesignCreated)
		create(t, s, lighthouse(1))
		c := delivering(t, b)
		if err := b.EndDelivery(t.Context(), c, storage.DeliveryOutcome{State: storage.DeliveryFailed, Status: 404, Pause: time.Hour}); err != nil {
			t.Fatal(err)
		}
		nothingToDeliver(t, b)
		d, err := s.Replay(t.Context(), h.ID, c.Event.ID)
		if err != nil || d.State != storage.DeliveryPending || d.Attempts != 0 || !d.DueAt.Equal(now) || d.ExpiresAt != nil {
			t.Errorf("replayed %+v, %v", d, err)
		}
		again := delivering(t, b)
		if again.Event != c.Event || again.Attempts != 1 {
			t.Errorf("delivering %+v", again)
		}
		if err := b.EndDelivery(t.Context(), again, storage.DeliveryOutcome{State: storage.DeliveryDelivered}); err != nil {
			t.Fatal(err)
		}
		now = now.Add(time.Second)
		d, err = s.PingHook(t.Context(), h.ID)
		if err != nil || d.Event.Type != storage.HookPinged || d.State != storage.DeliveryPending {
			t.Errorf("pinged %+v, %v", d, err)
		}
		if c := delivering(t, b); c.Event != d.Event {
			t.Errorf("delivering %+v", c)
		}
	}},

	{"what happens to a delivery under way is not undone", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		s := b.In("quay")
		h := addHook(t, s, storage.DesignCreated)
		create(t, s, lighthouse(1))
		c := delivering(t, b)
		if err := s.DeleteHook(t.Context(), h.ID); err != nil {
			t.Fatal(err)
		}
		if err := b.EndDelivery(t.Context(), c, storage.DeliveryOutcome{State: storage.DeliveryPending}); !errors.Is(err, storage.ErrConflict) {
			t.Errorf("settled for a hook that is gone: %v", err)
		}
		create(t, s, lighthouse(2))
		nothingToDeliver(t, b)
	}},

	{"hooks of another workspace are not there", func(t *testing.T, db database) {
		b := db.store(storage.Options{})
		h := addHook(t, b.In("quay"), storage.DesignCreated)
		ping, err := b.In("quay").PingHook(t.Context(), h.ID)
		if err != nil {
			t.Fatal(err)
		}
		for workspace, id := range map[string]string{"mill": h.ID, "quay": "gull", "hill": "gu\x00ll"} {
			s := b.In(workspace)
			_, err := s.Hook(t.Context(), id)
			_, changeErr := s.ChangeHook(t.Context(), id, storage.HookChange{On: new(false)})
			_, pageErr := s.Deliveries(t.Context(), id, storage.VersionQuery{})
			_, replayErr := s.Replay(t.Context(), id, ping.Event.ID)
			_, pingErr := s.PingHook(t.Context(), id)
			for i, err := range []error{err, changeErr, s.DeleteHook(t.Context(), id), pageErr, replayErr, pingErr} {
				if !errors.Is(err, storage.ErrNotFound) {
					t.Errorf("%s, call %d: %v", workspace, i, err)
				}
			}
		}
		for _, id := range []string{"gull", "gu\x00ll"} {
			if _, err := b.In("quay").Replay(t.Context(), h.ID, id); !errors.Is(err, storage.ErrNotFound) {
				t.Errorf("replay of %q: %v", id, err)
			}
		}
		if got, err := b.In("quay").Hook(t.Context(), h.ID); err != nil || got.OffAt != nil {
			t.Errorf("changed from elsewhere: %+v, %v", got, err)
		}
	}},

	{"deliveries go from the newest to the oldest", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()}).In("quay")
		h, other := addHook(t, s, storage.DesignCreated), addHook(t, s, storage.DesignCreated)
		var want []string
		for range 5 {
			want = append([]string{create(t, s, lighthouse(1)).ID}, want...)
		}
		var got []string
		q := storage.VersionQuery{Limit: 2}
		for pages := 0; pages == 0 || q.Cursor != ""; pages++ {
			page, err := s.Deliveries(t.Context(), h.ID, q)
			if err != nil || pages > 3 {
				t.Fatal(pages, err)
			}
			for _, d := range page.Deliveries {
				got = append(got, d.Event.About.Design)
			}
			if q.Cursor = page.Next; q.Cursor != "" {
				if _, err := s.Deliveries(t.Context(), other.ID, q); !errors.Is(err, storage.ErrBadCursor) {
					t.Errorf("the cursor of another hook: %v", err)
				}
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("listed %v, want %v", got, want)
		}
	}},

	{"deliveries are given up and forgotten in time", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		b := db.store(storage.Options{Now: func() time.Time { return now }})
		s := b.In("quay")
		h := addHook(t, s, storage.DesignCreated)
		create(t, s, lighthouse(1))
		sweep := func() {
			t.Helper()
			if err := b.SweepDeliveries(t.Context()); err != nil {
				t.Fatal(err)
			}
		}
		now = now.Add(storage.DeliveryRetention)
		sweep()
		if d := onlyDelivery(t, s, h.ID); d.State != storage.DeliveryPending {
			t.Errorf("given up too soon: %+v", d)
		}
		now = now.Add(time.Second)
		sweep()
		if d := onlyDelivery(t, s, h.ID); d.State != storage.DeliveryFailed || d.DueAt != nil || !d.ExpiresAt.Equal(now.Add(storage.DeliveryRetention)) {
			t.Errorf("given up %+v", d)
		}
		now = now.Add(storage.DeliveryRetention)
		sweep()
		if page, err := s.Deliveries(t.Context(), h.ID, storage.VersionQuery{}); err != nil || len(page.Deliveries) != 0 {
			t.Errorf("not forgotten: %+v, %v", page, err)
		}
	}},
}

func addHook(t *testing.T, s storage.Store, events ...storage.EventType) storage.Hook {
	t.Helper()
	h, err := s.AddHook(t.Context(), storage.NewHook{URL: "https://workshop.example/hooks", Events: events, Secret: "whsec_Z3VsbA=="})
	if err != nil {
		t.Fatalf("add hook: %v", err)
	}
	return h
}

// announced checks the events for a hook, the oldest first.
func announced(t *testing.T, s storage.Store, hook string, want ...storage.Event) {
	t.Helper()
	page, err := s.Deliveries(t.Context(), hook, storage.VersionQuery{})
	if err != nil {
		t.Fatal(err)
	}
	got := []string{}
	for _, d := range slices.Backward(page.Deliveries) {
		if d.State != storage.DeliveryPending || d.Event.ID == "" || d.Event.At.IsZero() {
			t.Errorf("delivery %+v", d)
		}
		got = append(got, fmt.Sprint(d.Event.Type, d.Event.About))
	}
	expected := []string{}
	for _, e := range want {
		expected = append(expected, fmt.Sprint(e.Type, e.About))
	}
	if !slices.Equal(got, expected) {
		t.Errorf("announced\n%v, want\n%v", got, expected)
	}
}

func onlyDelivery(t *testing.T, s storage.Store, hook string) storage.Delivery {
	t.Helper()
	page, err := s.Deliveries(t.Context(), hook, storage.VersionQuery{})
	if err != nil || len(page.Deliveries) != 1 {
		t.Fatalf("deliveries %+v, %v", page, err)
	}
	return page.Deliveries[0]
}

func delivering(t *testing.T, b storage.Database) storage.DeliveryClaim {
	t.Helper()
	c, err := b.ClaimDelivery(t.Context(), lease)
	if err != nil {
		t.Fatalf("claim: %v", err)
	}
	return c
}

func nothingToDeliver(t *testing.T, b storage.Database) {
	t.Helper()
	if c, err := b.ClaimDelivery(t.Context(), lease); !errors.Is(err, storage.ErrNotFound) {
		t.Errorf("claimed %+v, %v", c, err)
	}
}
