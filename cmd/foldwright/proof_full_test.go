//go:build linux

package main

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"foldwright/storage/postgres/pgtest"
)

// smallDisk is a file system of a few megabytes, which only root can make.
func smallDisk(t *testing.T, options string) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "foldwright-disk-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	if err := syscall.Mount("foldwright", folder, "tmpfs", 0, options); err != nil {
		t.Skipf("a full disk needs the right to mount a small one: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(folder, 0); err != nil {
			t.Error(err)
		}
	})
	return folder
}

// fill takes what is left of a disk, and gives it back when the function it
// returns is called.
func fill(t *testing.T, disk string) (free func()) {
	t.Helper()
	f, err := os.Create(filepath.Join(disk, "filler"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for size := 1 << 20; size > 0; {
		if _, err := f.Write(make([]byte, size)); err != nil {
			size /= 2
		}
	}
	return func() {
		if err := os.Remove(f.Name()); err != nil {
			t.Error(err)
		}
	}
}

// The disk runs full under the writers. They are told so, what is there can be
// read, and when there is room again the service goes on by itself.
func TestProofDiskFull(t *testing.T) {
	rounds := proofRounds(t, 2)
	t.Parallel()
	disk := smallDisk(t, "size=256m")
	p := startProcess(t, disk)
	l := newLedger(t, 4)
	for range rounds {
		l.during(p.url, true, func() {
			time.Sleep(200 * time.Millisecond)
			refused := l.refusals.Load()
			free := fill(t, disk)
			for deadline := time.Now().Add(time.Minute); l.refusals.Load() < refused+4; time.Sleep(5 * time.Millisecond) {
				if time.Now().After(deadline) {
					t.Error("nobody is refused on a full disk")
					break
				}
				if status := p.status("/v1/designs"); status != 200 {
					t.Errorf("designs are listed with %d while the disk is full", status)
				}
			}
			free()
			time.Sleep(200 * time.Millisecond)
		})
		l.check(p.url)
		// What was acknowledged on a full disk outlives the process too.
		p.kill()
		p = startProcess(t, disk)
		l.check(p.url)
	}
	l.tell(t, rounds, l.checkAll())
	p.kill()
}

// The disk of Postgres runs full. Reads go on for as long as the server does,
// which ends itself when it cannot write its log; once there is room, and the
// server is back, the service goes on by itself.
func TestProofPostgresDiskFull(t *testing.T) {
	rounds := proofRounds(t, 2)
	t.Parallel()
	disk := smallDisk(t, "size=256m")
	// A short log, for what it keeps for later would be room on a full disk.
	database := pgtest.Own(t, disk, "-c", "max_wal_size=32MB", "-c", "min_wal_size=32MB")
	p := startProcess(t, database.URL())
	l := newLedger(t, 4)
	var read, away, ended int
	for range rounds {
		l.during(p.url, true, func() {
			time.Sleep(200 * time.Millisecond)
			refused := l.refusals.Load()
			free := fill(t, disk)
			for deadline := time.Now().Add(time.Minute); l.refusals.Load() < refused+4; time.Sleep(5 * time.Millisecond) {
				if time.Now().After(deadline) {
					t.Error("nobody is refused on a full disk")
					break
				}
				switch status := p.status("/v1/designs"); status {
				case 200:
					read++
				case 503:
					away++
				default:
					t.Errorf("designs are listed with %d while the disk is full", status)
				}
			}
			free()
			select {
			case <-database.Ended():
				ended++
				database.Start(t)
			case <-time.After(time.Second): // it may be about to end
			}
			p.becomes(t, "/readyz", 200)
			time.Sleep(200 * time.Millisecond)
		})
		l.check(p.url)
		if t.Failed() {
			t.Fatal(p.log)
		}
	}
	l.tell(t, rounds, l.checkAll())
	t.Logf("while the disk was full: %d lists, %d refused, and the server ended %d times", read, away, ended)
	p.kill()
}
