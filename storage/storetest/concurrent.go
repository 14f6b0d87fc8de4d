package storetest

import (
	"errors"
	"fmt"
	"sync"
	"testing"

	"foldwright/storage"
)

var concurrentTests = []test{
	// Two stores on one database are two replicas; within each, several
	// requests. In every round all of them have seen the same version.
	{"exactly one of many makes the next version", func(t *testing.T, db database) {
		const rounds, callers = 30, 8
		replicas := []storage.Store{db.store(storage.Options{}), db.store(storage.Options{})}
		d := create(t, replicas[0], lighthouse(0))
		for round := range rounds {
			ifVersion := round + 1
			var (
				mu      sync.Mutex
				winners []storage.Version
			)
			together(callers, func(caller int) {
				s := replicas[caller%len(replicas)]
				given := holding(fmt.Appendf(nil, "%d/%d", round, caller))
				_, v, _, err := s.AddVersion(t.Context(), d.ID, ifVersion, given, noKey)
				switch {
				case err == nil:
					mu.Lock()
					winners = append(winners, v)
					mu.Unlock()
				case !errors.Is(err, storage.ErrConflict):
					t.Errorf("round %d, caller %d: %v", round, caller, err)
				}
			})
			if len(winners) != 1 {
				t.Fatalf("round %d had %d winners", round, len(winners))
			}
			kept, err := replicas[0].Version(t.Context(), d.ID, ifVersion+1)
			if err != nil || winners[0].Number != ifVersion+1 || kept.Hash != winners[0].Hash {
				t.Fatalf("round %d: kept %+v, %v, the winner made %+v", round, kept, err, winners[0])
			}
		}
		if got, err := replicas[1].Get(t.Context(), d.ID); err != nil || got.Version != rounds+1 {
			t.Errorf("ended at %+v, %v", got, err)
		}
	}},

	{"callers that insist all make a version", func(t *testing.T, db database) {
		const callers = 16
		s := db.store(storage.Options{})
		d := create(t, s, lighthouse(0))
		together(callers, func(caller int) {
			if _, _, _, err := s.AddVersion(t.Context(), d.ID, 0, lighthouse(caller+1), noKey); err != nil {
				t.Errorf("caller %d: %v", caller, err)
			}
		})
		page, err := s.Versions(t.Context(), d.ID, storage.VersionQuery{Limit: callers + 1})
		if err != nil || len(page.Versions) != callers+1 || page.Next != "" {
			t.Fatalf("kept %d versions, %v", len(page.Versions), err)
		}
		seen := map[string]bool{}
		for i, v := range page.Versions {
			if v.Number != callers+1-i || seen[v.Hash] {
				t.Errorf("version %d stands at place %d, its content seen before: %v", v.Number, i, seen[v.Hash])
			}
			seen[v.Hash] = true
		}
	}},

	{"a delete and a version of the same state exclude each other", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		for round := range 20 {
			d := create(t, s, lighthouse(0))
			var added, deleted error
			together(2, func(caller int) {
				if caller == 0 {
					_, _, _, added = s.AddVersion(t.Context(), d.ID, 1, lighthouse(1), noKey)
				} else {
					deleted = s.Delete(t.Context(), d.ID, 1)
				}
			})
			addWon := added == nil && errors.Is(deleted, storage.ErrConflict)
			deleteWon := deleted == nil && errors.Is(added, storage.ErrDeleted)
			if !addWon && !deleteWon {
				t.Errorf("round %d: add %v, delete %v", round, added, deleted)
			}
		}
	}},
}

// together calls do for each of n callers at once and waits for all of them.
func together(n int, do func(caller int)) {
	var ready, done sync.WaitGroup
	start := make(chan struct{})
	ready.Add(n)
	for caller := range n {
		done.Go(func() {
			ready.Done()
			<-start
			do(caller)
		})
	}
	ready.Wait()
	close(start)
	done.Wait()
}
