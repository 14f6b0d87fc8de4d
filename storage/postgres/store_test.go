package postgres_test

import (
	"os"
	"testing"

	"foldwright/storage"
	"foldwright/storage/postgres"
	"foldwright/storage/postgres/pgtest"
	"foldwright/storage/storetest"
)

func TestMain(m *testing.M) {
	storetest.MigrateIfAsked(postgres.Migrate)
	os.Exit(pgtest.Run(m))
}

func TestStore(t *testing.T) { storetest.Run(t, fresh) }

func BenchmarkStore(b *testing.B) { storetest.Benchmark(b, fresh) }

func fresh(t testing.TB) storetest.Open {
	url := pgtest.URL(t)
	return func(o storage.Options) (storage.Backend, error) {
		s, err := postgres.Open(t.Context(), url, o)
		if err != nil {
			return nil, err // not a typed nil
		}
		return s, nil
	}
}
