package sqlite_test

import (
	"path/filepath"
	"testing"

	"foldwright/storage"
	"foldwright/storage/sqlite"
	"foldwright/storage/storetest"
)

func TestStore(t *testing.T) { storetest.Run(t, fresh) }

func BenchmarkStore(b *testing.B) { storetest.Benchmark(b, fresh) }

func fresh(t testing.TB) storetest.Open {
	// The name holds what would mean something in a URL.
	path := filepath.Join(t.TempDir(), "harbour #1?", "100% gulls.db")
	return func(o storage.Options) (storage.Backend, error) {
		s, err := sqlite.Open(t.Context(), path, o)
		if err != nil {
			return nil, err // not a typed nil
		}
		return s, nil
	}
}
