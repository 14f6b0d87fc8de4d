package storetest

import (
	"crypto/sha256"
	"fmt"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

// Fresh makes an empty database for one test and returns a function that opens
// a store on it. Opening again, before or after closing, must give a store on
// the same designs.
type Fresh func(t testing.TB) Open

// Open opens a store with options.
type Open func(storage.Options) (storage.Backend, error)

// Run runs the whole suite.
func Run(t *testing.T, fresh Fresh) {
	for _, area := range []struct {
		name  string
		tests []test
	}{
		{"create", createTests},
		{"versions", versionTests},
		{"concurrent", concurrentTests},
		{"list", listTests},
		{"search", searchTests},
		{"time", timeTests},
		{"keys", keyTests},
		{"delete", deleteTests},
		{"labels", labelTests},
		{"purge", purgeTests},
		{"export", exportTests},
		{"workspaces", workspaceTests},
		{"access keys", accessKeyTests},
		{"shares", shareTests},
		{"quotas", quotaTests},
		{"jobs", jobTests},
		{"hooks", hookTests},
		{"opening", openingTests},
		{"context", contextTests},
	} {
		t.Run(area.name, func(t *testing.T) {
			t.Parallel()
			for _, one := range area.tests {
				t.Run(one.name, func(t *testing.T) {
					t.Parallel()
					one.run(t, database{t, fresh(t), func() Open { return fresh(t) }})
				})
			}
		})
	}
}

type test struct {
	name string
	run  func(*testing.T, database)
}

// database is the database of one subtest.
type database struct {
	t       *testing.T
	fresh   Open
	another func() Open
}

// elsewhere opens another database.
func (d database) elsewhere(o storage.Options) opened {
	d.t.Helper()
	return database{t: d.t, fresh: d.another()}.store(o)
}

// opened is a backend and, for all the tests in which it does not matter which,
// the store of one of its workspaces.
type opened struct {
	storage.Backend
	storage.Store
}

func (d database) open(o storage.Options) (opened, error) {
	s, err := d.fresh(o)
	if err != nil {
		return opened{}, err
	}
	return opened{s, s.In(access.Local)}, nil
}

// store opens a store that the end of the test closes.
func (d database) store(o storage.Options) opened {
	d.t.Helper()
	s, err := d.open(o)
	if err != nil {
		d.t.Fatalf("open: %v", err)
	}
	d.t.Cleanup(func() {
		if err := s.Close(); err != nil {
			d.t.Errorf("close: %v", err)
		}
	})
	return s
}

// lighthouse is a version whose content is told apart by n.
func lighthouse(n int) storage.NewVersion {
	return holding(fmt.Appendf(nil, `{"title":"Lighthouse","spread":{"page_width":%d}}`, 100+n))
}

func holding(document []byte) storage.NewVersion {
	return storage.NewVersion{
		Title:    "Lighthouse",
		Tags:     []string{"harbour", "v_fold"},
		Document: document,
		Hash:     fmt.Sprintf("sha256:%x", sha256.Sum256(document)),
		Message:  "Raise the lamp",
		Author:   "keeper",
	}
}

func titled(title string, tags ...string) storage.NewVersion {
	v := lighthouse(0)
	v.Title, v.Tags = title, tags
	return v
}

var noKey storage.IdempotencyKey

func create(t *testing.T, s storage.Store, v storage.NewVersion) storage.Design {
	t.Helper()
	d, _, replayed, err := s.Create(t.Context(), v, noKey)
	if err != nil || replayed {
		t.Fatalf("create %q: replayed %v, %v", v.Title, replayed, err)
	}
	return d
}

func add(t *testing.T, s storage.Store, id string, ifVersion int, v storage.NewVersion) storage.Design {
	t.Helper()
	d, _, replayed, err := s.AddVersion(t.Context(), id, ifVersion, v, noKey)
	if err != nil || replayed {
		t.Fatalf("add to %s at %d: replayed %v, %v", id, ifVersion, replayed, err)
	}
	return d
}

// ticking is a clock that moves on by a second each time it is read.
func ticking() func() time.Time {
	now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
	return func() time.Time {
		now = now.Add(time.Second)
		return now
	}
}
