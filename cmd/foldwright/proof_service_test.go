//go:build linux

package main

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"foldwright/storage/postgres/pgtest"
)

// What the proofs hold is that nothing acknowledged is lost, by the program as
// it is built: it is killed, its database is taken from it, and what it has
// answered before is looked for afterwards.

func TestMain(m *testing.M) {
	code := pgtest.Run(m)
	if built.folder != "" {
		os.RemoveAll(built.folder)
	}
	os.Exit(code)
}

// proofRounds is how often a proof does what it does: short in every run, and
// FOLDWRIGHT_PROOF_ROUNDS times to look longer.
func proofRounds(t *testing.T, short int) int {
	t.Helper()
	set := os.Getenv("FOLDWRIGHT_PROOF_ROUNDS")
	if set == "" {
		if testing.Short() {
			t.Skip("proofs take long")
		}
		return short
	}
	n, err := strconv.Atoi(set)
	if err != nil || n < 1 {
		t.Fatalf("FOLDWRIGHT_PROOF_ROUNDS=%s is no number of rounds", set)
	}
	return n
}

var built struct {
	once         sync.Once
	folder, path string
	err          error
}

// program is the path of the program, built once.
func program(t *testing.T) string {
	t.Helper()
	built.once.Do(func() {
		if built.folder, built.err = os.MkdirTemp("", "foldwright-built-"); built.err != nil {
			return
		}
		built.path = filepath.Join(built.folder, "foldwright")
		said, err := exec.Command("go", "build", "-o", built.path, ".").CombinedOutput()
		if err != nil {
			built.err = fmt.Errorf("go build: %w\n%s", err, said)
		}
	})
	if built.err != nil {
		t.Fatal(built.err)
	}
	return built.path
}

// process is a service in a process of its own.
type process struct {
	url     string
	log     *output
	command *exec.Cmd
	ended   chan struct{}
}

// serviceSettings suit one process or several on a machine that does much else.
var serviceSettings = []string{"FOLDWRIGHT_LOG_LEVEL=warn", "FOLDWRIGHT_ADDRESS_RATE=0"}

// startProcess starts the service on a database: a Postgres URL, or the folder
// of a file. Settings are environment variables.
func startProcess(t *testing.T, database string, settings ...string) *process {
	t.Helper()
	where := "FOLDWRIGHT_DATA_DIR=" + database
	if isURL(database) {
		where = "FOLDWRIGHT_DATABASE_URL=" + database
	}
	p := &process{log: &output{}, ended: make(chan struct{})}
	said := &output{}
	p.command = exec.Command(program(t), "serve")
	p.command.Env = append(append(append(os.Environ(), "FOLDWRIGHT_ADDR=127.0.0.1:0", where), serviceSettings...), settings...)
	p.command.Stdout, p.command.Stderr = said, p.log
	if err := p.command.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { defer close(p.ended); p.command.Wait() }()
	t.Cleanup(p.kill)
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); time.Sleep(2 * time.Millisecond) {
		if m := listening.FindStringSubmatch(said.String()); m != nil {
			p.url = m[1]
			return p
		}
		select {
		case <-p.ended:
			t.Fatalf("the service ended: %s", p.log)
		default:
		}
	}
	t.Fatalf("the service does not listen: %s", p.log)
	return nil
}

func isURL(database string) bool {
	_, err := (&storeFlags{DatabaseURL: database}).address()
	return err == nil
}

// kill ends the process without a word, and waits until it is gone.
func (p *process) kill() {
	p.command.Process.Kill() // an error says that it has ended already
	<-p.ended
}

// status asks for an address and gives the status, 0 if there is no answer.
func (p *process) status(path string) int {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, p.url+path, nil)
	if err != nil {
		return 0
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0
	}
	answer.Body.Close()
	return answer.StatusCode
}

// becomes waits until an address answers with a status.
func (p *process) becomes(t *testing.T, path string, status int) {
	t.Helper()
	var last int
	for deadline := time.Now().Add(time.Minute); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if last = p.status(path); last == status {
			return
		}
	}
	t.Fatalf("%s answers %d and not %d: %s", path, last, status, p.log)
}

// onEach runs a proof on both kinds of database.
func onEach(t *testing.T, prove func(t *testing.T, database string)) {
	t.Run("sqlite", func(t *testing.T) { prove(t, t.TempDir()) })
	t.Run("postgres", func(t *testing.T) { prove(t, pgtest.URL(t)) })
}
