//go:build linux

package main

import (
	"math/rand/v2"
	"testing"
	"time"

	"foldwright/storage/postgres/pgtest"
)

// The service is killed while it writes. What it acknowledged is there when it
// is back; what it did not, and is sent again with the same key, happens once.
func TestProofServiceKilled(t *testing.T) {
	rounds := proofRounds(t, 6)
	onEach(t, func(t *testing.T, database string) {
		t.Parallel()
		l := newLedger(t, 6)
		random := rand.New(rand.NewPCG(1, 1))
		for range rounds {
			p := startProcess(t, database)
			l.check(p.url)
			l.during(p.url, false, func() {
				time.Sleep(time.Duration(100+random.IntN(700)) * time.Millisecond)
				p.kill()
			})
			if t.Failed() {
				t.Fatal(p.log)
			}
		}
		p := startProcess(t, database)
		l.check(p.url)
		l.during(p.url, true, func() { time.Sleep(100 * time.Millisecond) })
		l.tell(t, rounds, l.checkAll())
	})
}

// Postgres is killed, every process of it, while the service writes. The
// service says that it cannot, and can again when the server has recovered,
// without being started anew.
func TestProofPostgresKilled(t *testing.T) {
	rounds := proofRounds(t, 5)
	t.Parallel()
	database := pgtest.Own(t, "")
	p := startProcess(t, database.URL())
	l := newLedger(t, 6)
	random := rand.New(rand.NewPCG(2, 2))
	for range rounds {
		l.during(p.url, true, func() {
			time.Sleep(time.Duration(50+random.IntN(500)) * time.Millisecond)
			database.Kill(t)
			p.becomes(t, "/readyz", 503)
			if status := p.status("/healthz"); status != 200 {
				t.Errorf("/healthz answers %d while the database is away", status)
			}
			database.Start(t)
			p.becomes(t, "/readyz", 200)
			time.Sleep(50 * time.Millisecond)
		})
		l.check(p.url)
		if t.Failed() {
			t.Fatal(p.log)
		}
	}
	if l.refusals.Load() == 0 {
		t.Error("no change was refused while the database was away")
	}
	l.tell(t, rounds, l.checkAll())
}

// One process of Postgres is killed, as by a system that is out of memory, and
// the server restarts all the others by itself.
func TestProofBackendKilled(t *testing.T) {
	rounds := proofRounds(t, 5)
	t.Parallel()
	database := pgtest.Own(t, "")
	p := startProcess(t, database.URL())
	l := newLedger(t, 6)
	random := rand.New(rand.NewPCG(3, 3))
	for range rounds {
		l.during(p.url, true, func() {
			time.Sleep(time.Duration(50+random.IntN(300)) * time.Millisecond)
			database.KillBackend(t)
			kept := l.acked.Load()
			for deadline := time.Now().Add(time.Minute); l.acked.Load() < kept+20; time.Sleep(5 * time.Millisecond) {
				if time.Now().After(deadline) {
					t.Error("nothing is written after the server has restarted")
					break
				}
				if status := p.status("/healthz"); status != 200 {
					t.Errorf("/healthz answers %d while the database restarts", status)
				}
			}
		})
		l.check(p.url)
		if t.Failed() {
			t.Fatal(p.log)
		}
	}
	if l.refusals.Load() == 0 {
		t.Error("no change was refused while the database restarted")
	}
	l.tell(t, rounds, l.checkAll())
}
