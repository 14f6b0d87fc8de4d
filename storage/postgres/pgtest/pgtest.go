package pgtest

import (
	"context"
	"crypto/rand"
	"errors"
	"net/url"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/testdata/outside"

	"github.com/jackc/pgx/v5"
)

// errNone says that this machine has no server and no means to run one.
var errNone = errors.New("pgtest: no PostgreSQL server: set FOLDWRIGHT_TEST_DATABASE_URL, " +
	"run a container engine, or install the server's binaries")

// server is a running server whose user may make databases.
type server struct {
	url  *url.URL
	stop func() error
}

// shared is the one server of this test binary.
var shared struct {
	sync.Mutex
	running bool // Run is in charge, and will stop what is started
	started bool
	server  server
	err     error
}

// Run runs the tests of a binary, then stops the server they used.
func Run(m interface{ Run() int }) (code int) {
	shared.Lock()
	shared.running = true
	shared.Unlock()
	code = m.Run()
	shared.Lock()
	defer shared.Unlock()
	if shared.server.stop == nil {
		return code
	}
	if err := shared.server.stop(); err != nil {
		os.Stderr.WriteString("pgtest: stop the server: " + err.Error() + "\n")
		return max(code, 1)
	}
	return code
}

// URL makes an empty database that lives as long as the test, and returns its
// address.
func URL(t testing.TB) string {
	t.Helper()
	s, err := theServer(t)
	if errors.Is(err, errNone) && !outside.Required() {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	name := "foldwright_test_" + strings.ToLower(rand.Text())
	// The template is the one nobody can be connected to, which would make
	// the server refuse.
	administer(t, s, "CREATE DATABASE "+name+" TEMPLATE template0 ENCODING 'UTF8'")
	t.Cleanup(func() { administer(t, s, "DROP DATABASE "+name+" WITH (FORCE)") })
	u := *s.url
	u.Path = "/" + name
	return u.String()
}

func theServer(t testing.TB) (server, error) {
	t.Helper()
	shared.Lock()
	defer shared.Unlock()
	if !shared.running {
		t.Fatal("pgtest: TestMain does not call pgtest.Run, so nothing would stop the server")
	}
	if !shared.started {
		shared.started = true
		shared.server, shared.err = start()
	}
	return shared.server, shared.err
}

func start() (server, error) {
	if named := os.Getenv("FOLDWRIGHT_TEST_DATABASE_URL"); named != "" {
		u, err := url.Parse(named)
		if err != nil {
			return server{}, errors.New("pgtest: FOLDWRIGHT_TEST_DATABASE_URL cannot be read")
		}
		return server{url: u}, nil
	}
	if engineAnswers() {
		return startContainer()
	}
	if binaries, ok := findBinaries(); ok {
		return startLocal(binaries)
	}
	return server{}, errNone
}

func administer(t testing.TB, s server, statement string) {
	t.Helper()
	// Not the test's context, which has ended when its cleanups run.
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	conn, err := pgx.Connect(ctx, s.url.String())
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, statement); err != nil {
		t.Fatalf("pgtest: %s: %v", statement, err)
	}
}
