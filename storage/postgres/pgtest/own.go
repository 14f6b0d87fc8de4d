//go:build linux

package pgtest

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"foldwright/testdata/outside"
)

// A Server is a test's own, which it may kill and start again.
type Server struct {
	*local
	settings []string
}

// Own runs a server until the test ends, with its data in an empty folder that
// every user can reach, or in one of its own if none is named. Settings are
// more of the server's arguments.
func Own(t testing.TB, folder string, settings ...string) *Server {
	t.Helper()
	binaries, found := findBinaries()
	if !found {
		if outside.Required() {
			t.Fatal(errNone)
		}
		t.Skip("this needs the programs of a PostgreSQL server, to kill one")
	}
	if folder == "" {
		// Not the test's own, which another user cannot reach.
		var err error
		if folder, err = os.MkdirTemp("", "foldwright-postgres-"); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.RemoveAll(folder) })
	}
	l, err := newLocal(binaries, folder)
	if err != nil {
		t.Fatal(err)
	}
	s := &Server{l, settings}
	t.Cleanup(func() {
		if s.exited == nil {
			return
		}
		if err := stopProcess(s.command, s.exited); err != nil {
			t.Error(err)
		}
	})
	s.Start(t)
	return s
}

// URL is that of a database of the server.
func (s *Server) URL() string { return s.url.String() }

// Start starts the server, which recovers from whatever ended it.
func (s *Server) Start(t testing.TB) {
	t.Helper()
	for deadline := time.Now().Add(startTimeout); ; time.Sleep(50 * time.Millisecond) {
		err := s.start(s.settings...)
		if err == nil {
			return
		}
		// What was killed may take a moment to be gone.
		if !strings.Contains(err.Error(), "pre-existing shared memory block") || time.Now().After(deadline) {
			t.Fatal(err)
		}
	}
}

// Ended is closed when the server has ended.
func (s *Server) Ended() <-chan struct{} { return s.exited }

// Kill ends the server and every process it has started, at once and without
// a word to any of them.
func (s *Server) Kill(t testing.TB) {
	t.Helper()
	pid := s.command.Process.Pid
	// Stopped, it neither starts another process nor tells those it has.
	err := syscall.Kill(pid, syscall.SIGSTOP)
	list, listErr := children(pid)
	err = errors.Join(err, listErr, syscall.Kill(pid, syscall.SIGKILL))
	for _, child := range list {
		if gone := syscall.Kill(child, syscall.SIGKILL); !errors.Is(gone, syscall.ESRCH) {
			err = errors.Join(err, gone)
		}
	}
	if err != nil {
		t.Fatalf("pgtest: kill the server: %v", err)
	}
	<-s.exited
}

// KillBackend ends one process that serves a client. The server then ends all
// the others, and recovers by itself.
func (s *Server) KillBackend(t testing.TB) {
	t.Helper()
	list, err := children(s.command.Process.Pid)
	if err != nil {
		t.Fatal(err)
	}
	for _, child := range list {
		// Its title tells whom it serves: an address, and the port in brackets.
		title, err := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", child))
		if err == nil && strings.Contains(string(title), "127.0.0.1(") && syscall.Kill(child, syscall.SIGKILL) == nil {
			return
		}
	}
	t.Fatal("pgtest: the server has no clients")
}

// children are the processes that one has started, as Linux tells of them.
func children(pid int) ([]int, error) {
	tasks, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/children", pid))
	if err != nil {
		return nil, err
	}
	var list []int
	for _, task := range tasks {
		said, err := os.ReadFile(task)
		if err != nil {
			return nil, err
		}
		for word := range strings.FieldsSeq(string(said)) {
			child, err := strconv.Atoi(word)
			if err != nil {
				return nil, err
			}
			list = append(list, child)
		}
	}
	return list, nil
}
