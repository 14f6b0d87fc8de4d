package storetest

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

// CheckReleased checks a store on the designs that every driver keeps under
// testdata/schema_<n>.sql, as each released schema would have held them. The
// migrations that came since must have lost none of it.
func CheckReleased(t *testing.T, b storage.Backend, schema int64) {
	s := b.In(access.Local) // where everything is that had no workspace
	ctx := t.Context()
	if now, err := b.Schema(ctx); err != nil || now < schema {
		t.Errorf("has the schema %d, %v, and came with %d", now, err, schema)
	}
	made := time.Date(2026, 3, 1, 6, 30, 0, 123_456_000, time.UTC)

	want := storage.Design{
		ID: "0195502a-0000-7000-8000-000000000001", Title: "Île — harbour morning",
		Tags: []string{"harbour", "v_fold"}, Version: 2,
		CreatedAt: made, UpdatedAt: made.Add(time.Hour),
	}
	if got, err := s.Get(ctx, want.ID); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("design\n%+v, %v, want\n%+v", got, err, want)
	}
	first := storage.Version{
		DesignID: want.ID, Number: 1, Document: []byte("{\"lamp\":\x00\xff}"), Hash: "sha256:01",
		CreatedAt: made, Message: "First light", Author: "keeper",
	}
	if got, err := s.Version(ctx, want.ID, 1); err != nil || !reflect.DeepEqual(got, first) {
		t.Errorf("version\n%+v, %v, want\n%+v", got, err, first)
	}
	page, err := s.Versions(ctx, want.ID, storage.VersionQuery{})
	if err != nil || len(page.Versions) != 2 || page.Versions[0].Hash != "sha256:02" {
		t.Errorf("versions %+v, %v", page, err)
	}

	for _, q := range []storage.Query{{Search: "île — HARBOUR"}, {Tags: []string{"v_fold"}}, {}} {
		if got := ids(all(t, s, q)); !slices.Equal(got, []string{want.ID}) {
			t.Errorf("list %+v: %v", q, got)
		}
	}

	key := storage.IdempotencyKey{Key: "tide-1", Fingerprint: "f"}
	if d, v, replayed, err := s.Create(ctx, lighthouse(1), key); err != nil || !replayed || d.ID != want.ID || v.Number != 1 {
		t.Errorf("the key gave %+v, %+v, replayed %v, %v", d, v, replayed, err)
	}

	deleted := all(t, s, storage.Query{Deleted: true})
	if len(deleted) != 1 || deleted[0].Title != "Gull" || !deleted[0].DeletedAt.Equal(made.Add(2*time.Hour)) {
		t.Fatalf("deleted %+v", deleted)
	}
	if d, _, err := s.Restore(ctx, deleted[0].ID); err != nil || d.Version != 1 || len(d.Tags) != 0 {
		t.Errorf("restored %+v, %v", d, err)
	}

	if got, err := s.Usage(ctx); err != nil || got != (storage.Usage{Designs: 2, Versions: 3, Bytes: 15}) {
		t.Errorf("usage %+v, %v", got, err)
	}
	if schema >= withKeys {
		checkReleasedKeys(t, b, want.ID)
	}
	if schema >= withJobs {
		checkReleasedJob(t, b)
	}
	if schema >= withHooks {
		checkReleasedHook(t, b)
	}

	if schema >= withLabels {
		labelled(t, s, want.ID, map[int][]string{1: {"as printed"}, 2: nil})
	}

	add(t, s, want.ID, 2, lighthouse(3))
	create(t, s, lighthouse(4))
}

// withKeys is the first schema that has workspaces, keys and shares.
const withKeys = 2

func checkReleasedKeys(t *testing.T, b storage.Backend, designID string) {
	ctx := t.Context()
	made := time.Date(2026, 3, 1, 6, 30, 0, 123_456_000, time.UTC)
	for hash, want := range map[string]storage.Key{
		"hash-1": {ID: "0195502a-0000-7000-8000-000000000011", Workspace: "quay", Name: "Website", Scope: access.Write, Origins: []string{},
			CreatedAt: made, LastUsedAt: new(made.Add(time.Hour)), RevokedAt: new(made.Add(2 * time.Hour))},
		"hash-2": {ID: "0195502a-0000-7000-8000-000000000012", Workspace: "quay", Scope: access.Browser,
			Origins: []string{"https://workshop.example"}, CreatedAt: made, ExpiresAt: new(made.Add(time.Hour))},
	} {
		if got, err := b.UseKey(ctx, hash); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("key\n%+v, %v, want\n%+v", got, err, want)
		}
	}
	want := storage.Share{ID: "0195502a-0000-7000-8000-000000000021", Workspace: access.Local, DesignID: designID, Version: 1, Name: "For the shop", CreatedAt: made}
	if got, err := b.Share(ctx, "hash-3"); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("share\n%+v, %v, want\n%+v", got, err, want)
	}
	if got, err := b.Workspaces(ctx); err != nil || !slices.Equal(got, []string{access.Local, "quay"}) {
		t.Errorf("workspaces %v, %v", got, err)
	}
}

// withLabels is the first schema that has labels.
const withLabels = 5

// withJobs is the first schema that has jobs.
const withJobs = 3

func checkReleasedJob(t *testing.T, b storage.Backend) {
	made := time.Date(2026, 3, 1, 6, 30, 0, 123_456_000, time.UTC)
	want := storage.Job{
		ID: "0195502a-0000-7000-8000-000000000031", Workspace: "quay", Operation: "fit", Media: "application/json",
		State: storage.JobDone, Progress: storage.JobProgress{Done: 8, Of: 8}, Attempts: 1,
		CreatedAt: made, StartedAt: new(made.Add(time.Second)), EndedAt: new(made.Add(2 * time.Second)),
		ExpiresAt: new(time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC)),
	}
	got, result, err := b.In("quay").JobResult(t.Context(), want.ID)
	if err != nil || !reflect.DeepEqual(got, want) || string(result) != "{}" {
		t.Errorf("job\n%+v, %s, %v, want\n%+v", got, result, err, want)
	}
}

// withHooks is the first schema that has hooks.
const withHooks = 4

func checkReleasedHook(t *testing.T, b storage.Backend) {
	made := time.Date(2026, 3, 1, 6, 30, 0, 123_456_000, time.UTC)
	want := storage.Delivery{
		HookID: "0195502a-0000-7000-8000-000000000041",
		Event: storage.Event{ID: "0195502a-0000-7000-8000-000000000051", Type: storage.VersionCreated, At: made,
			About: storage.EventAbout{Design: "0195502a-0000-7000-8000-000000000001", Version: 2, Hash: "sha256:02"}},
		State: storage.DeliveryPending, Attempts: 2, LastAt: new(made.Add(2 * time.Second)), Status: 500, Error: "the answer was 500",
		DueAt: new(made.Add(3 * time.Second)),
	}
	if got := onlyDelivery(t, b.In("quay"), want.HookID); !reflect.DeepEqual(got, want) {
		t.Errorf("delivery\n%+v, want\n%+v", got, want)
	}
	c := delivering(t, b)
	hook := storage.Hook{
		ID: want.HookID, Workspace: "quay", URL: "https://workshop.example/hooks", Events: []storage.EventType{storage.VersionCreated, storage.JobEnded},
		CreatedAt: made, Failures: 2, FailingSince: new(made.Add(time.Second)),
	}
	if !reflect.DeepEqual(c.Hook, hook) || c.Secret != "whsec_Z3VsbA==" || c.Attempts != 3 {
		t.Errorf("claimed %+v, want\n%+v", c, hook)
	}
	create(t, b.In("quay"), lighthouse(5))
	add(t, b.In("quay"), create(t, b.In("quay"), lighthouse(6)).ID, 1, lighthouse(7))
	if page, err := b.In("quay").Deliveries(t.Context(), want.HookID, storage.VersionQuery{}); err != nil || len(page.Deliveries) != 2 {
		t.Errorf("deliveries %+v, %v", page, err)
	}
}
