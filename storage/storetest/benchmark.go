package storetest

import (
	"fmt"
	"sync/atomic"
	"testing"

	"foldwright/storage"
	"foldwright/storage/access"
)

// Benchmark measures what a client waits for: a durable design or version, and
// reading one back. The server of a test may be told not to sync, so a claim
// about writes needs one that does.
func Benchmark(b *testing.B, fresh Fresh) {
	open := func(b *testing.B) storage.Store {
		s, err := fresh(b)(storage.Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.Cleanup(func() { s.Close() })
		return s.In(access.Local)
	}

	b.Run("create", func(b *testing.B) {
		s := open(b)
		for b.Loop() {
			if _, _, _, err := s.Create(b.Context(), lighthouse(1), noKey); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "designs/s")
	})

	b.Run("create, 16 callers", func(b *testing.B) {
		s := open(b)
		b.SetParallelism(16)
		b.RunParallel(func(p *testing.PB) {
			for p.Next() {
				if _, _, _, err := s.Create(b.Context(), lighthouse(1), noKey); err != nil {
					b.Error(err)
				}
			}
		})
		b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "designs/s")
	})

	b.Run("create with a key", func(b *testing.B) {
		s := open(b)
		for n := 0; b.Loop(); n++ {
			key := storage.IdempotencyKey{Key: fmt.Sprint("tide-", n), Fingerprint: "f"}
			if _, _, _, err := s.Create(b.Context(), lighthouse(1), key); err != nil {
				b.Fatal(err)
			}
		}
	})

	b.Run("add a version", func(b *testing.B) {
		s := open(b)
		d, _, _, err := s.Create(b.Context(), lighthouse(0), noKey)
		if err != nil {
			b.Fatal(err)
		}
		for n := 1; b.Loop(); n++ {
			if _, _, _, err := s.AddVersion(b.Context(), d.ID, n, lighthouse(n), noKey); err != nil {
				b.Fatal(err)
			}
		}
	})

	b.Run("read a version, 16 callers", func(b *testing.B) {
		s := open(b)
		d, _, _, err := s.Create(b.Context(), lighthouse(0), noKey)
		if err != nil {
			b.Fatal(err)
		}
		b.SetParallelism(16)
		b.RunParallel(func(p *testing.PB) {
			for p.Next() {
				if _, err := s.Version(b.Context(), d.ID, 1); err != nil {
					b.Error(err)
				}
			}
		})
	})

	b.Run("list 50 of 5,000", func(b *testing.B) {
		s := open(b)
		var left atomic.Int64
		left.Store(5000)
		together(8, func(int) {
			for left.Add(-1) >= 0 {
				if _, _, _, err := s.Create(b.Context(), lighthouse(1), noKey); err != nil {
					b.Error(err)
				}
			}
		})
		for name, q := range map[string]storage.Query{
			"all":    {},
			"tag":    {Tags: []string{"harbour"}},
			"search": {Search: "house"},
			"miss":   {Search: "submarine"},
		} {
			b.Run(name, func(b *testing.B) {
				for b.Loop() {
					if _, err := s.List(b.Context(), q); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	})
}
