// Package leasedtest runs those who work on what a store leases to them, in
// tests on each database.
package leasedtest

import (
	"context"
	"path/filepath"
	"sync"
	"testing"

	"foldwright/storage"
	"foldwright/storage/postgres"
	"foldwright/storage/postgres/pgtest"
	"foldwright/storage/sqlite"
)

// OnBoth runs a test on each database.
func OnBoth(t *testing.T, test func(t *testing.T, open func() storage.Database)) {
	for name, open := range map[string]func(*testing.T) func() (storage.Backend, error){
		"sqlite": func(t *testing.T) func() (storage.Backend, error) {
			path := filepath.Join(t.TempDir(), "harbour.db")
			return func() (storage.Backend, error) { return sqlite.Open(t.Context(), path, storage.Options{}) }
		},
		"postgres": func(t *testing.T) func() (storage.Backend, error) {
			url := pgtest.URL(t)
			return func() (storage.Backend, error) { return postgres.Open(t.Context(), url, storage.Options{}) }
		},
	} {
		t.Run(name, func(t *testing.T) {
			again := open(t)
			test(t, func() storage.Database {
				store, err := again()
				if err != nil {
					t.Fatal(err)
				}
				t.Cleanup(func() {
					if err := store.Close(); err != nil {
						t.Error(err)
					}
				})
				return store
			})
		})
	}
}

// Start runs workers until the test or the function returned ends them.
func Start(t *testing.T, run func(context.Context)) (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); run(ctx) }()
	stop = sync.OnceFunc(func() { cancel(); <-ended })
	t.Cleanup(stop)
	return stop
}
