//go:build linux

package main

import (
	"io"
	"net"
	"net/url"
	"regexp"
	"runtime"
	"strconv"
	"sync"
	"testing"
	"time"

	"foldwright/storage/postgres/pgtest"

	"github.com/jackc/pgx/v5"
)

// wire is a way of treating connections between the service and its database.
type wire int

const (
	sound   wire = iota
	cut          // closed, and no new ones
	reset        // ended with RST, and new ones too
	stalled      // open, and nothing passes
	halved       // those there are forgotten by the far side; new ones are sound
)

// wires is a network between the service and its database.
type wires struct {
	far      string
	listener net.Listener
	mu       sync.Mutex
	state    wire
	changed  chan struct{}
	open     map[net.Conn]net.Conn
}

func newWires(t *testing.T, far string) *wires {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	w := &wires{far: far, listener: listener, changed: make(chan struct{}), open: map[net.Conn]net.Conn{}}
	t.Cleanup(func() { listener.Close(); w.become(cut) })
	go func() {
		for {
			near, err := listener.Accept()
			if err != nil {
				return
			}
			go w.join(near)
		}
	}()
	return w
}

// become changes how connections are treated, those there are too.
func (w *wires) become(state wire) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.state = state
	close(w.changed)
	w.changed = make(chan struct{})
	for near, far := range w.open {
		switch state {
		case cut, reset:
			end(near, state)
			far.Close()
		case halved:
			far.Close()
		}
	}
}

func end(c net.Conn, how wire) {
	if tcp, ok := c.(*net.TCPConn); ok && how == reset {
		tcp.SetLinger(0)
	}
	c.Close()
}

func (w *wires) now() (wire, <-chan struct{}) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.state, w.changed
}

func (w *wires) join(near net.Conn) {
	for state, changed := w.now(); state == stalled; state, changed = w.now() {
		<-changed
	}
	if state, _ := w.now(); state == cut || state == reset {
		end(near, state)
		return
	}
	far, err := net.Dial("tcp", w.far)
	if err != nil {
		near.Close()
		return
	}
	w.mu.Lock()
	w.open[near] = far
	w.mu.Unlock()
	var both sync.WaitGroup
	both.Go(func() { w.pass(far, near) })
	both.Go(func() { w.pass(near, far) })
	both.Wait()
	w.mu.Lock()
	delete(w.open, near)
	w.mu.Unlock()
}

// pass carries bytes one way. When the far side has forgotten the connection,
// the near side is not told.
func (w *wires) pass(to, from net.Conn) {
	buffer := make([]byte, 32<<10)
	for {
		n, err := from.Read(buffer)
		for state, changed := w.now(); state == stalled; state, changed = w.now() {
			<-changed
		}
		if state, changed := w.now(); err != nil && state == halved {
			<-changed
		}
		if err == nil {
			_, err = to.Write(buffer[:n])
		}
		if state, changed := w.now(); err != nil && state == halved {
			<-changed
		}
		if err != nil {
			to.Close()
			io.Copy(io.Discard, from)
			return
		}
	}
}

// The network between the service and its database fails in every way. Each
// request is answered within its time limit; the service says that it cannot,
// stays alive, and can again by itself; and nothing is left over.
func TestProofDatabaseCutOff(t *testing.T) {
	rounds := proofRounds(t, 1)
	t.Parallel()
	database := pgtest.URL(t)
	at, err := url.Parse(database)
	if err != nil {
		t.Fatal(err)
	}
	network := newWires(t, at.Host)
	at.Host = network.listener.Addr().String()
	p := startProcess(t, at.String())
	l := newLedger(t, 6)
	l.during(p.url, true, func() { time.Sleep(300 * time.Millisecond) })
	before, held := p.count(t, "go_goroutines"), connections(t, database)
	for range rounds {
		for name, state := range map[string]wire{"cut": cut, "reset": reset, "stalled": stalled, "halved": halved} {
			l.during(p.url, true, func() {
				time.Sleep(100 * time.Millisecond)
				refused := l.refusals.Load()
				network.become(state)
				for deadline := time.Now().Add(time.Minute); l.refusals.Load() == refused; time.Sleep(10 * time.Millisecond) {
					if time.Now().After(deadline) {
						// Connections may all be found dead when they are tried.
						if state != halved {
							t.Errorf("%s: nobody is told", name)
						}
						break
					}
					if status := p.status("/healthz"); status != 200 {
						t.Errorf("%s: /healthz answers %d", name, status)
					}
				}
				network.become(sound)
				p.becomes(t, "/readyz", 200)
				time.Sleep(100 * time.Millisecond)
			})
			l.check(p.url)
		}
	}
	l.tell(t, rounds, l.checkAll())
	if l.slowest.Load() > int64(30*time.Second) {
		t.Errorf("a change was answered after %v", time.Duration(l.slowest.Load()))
	}
	t.Logf("the slowest answer came after %v", time.Duration(l.slowest.Load()))
	proofClient.CloseIdleConnections()
	for deadline := time.Now().Add(30 * time.Second); p.count(t, "go_goroutines") > before+10; time.Sleep(100 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("%d goroutines, %d before", p.count(t, "go_goroutines"), before)
		}
	}
	// The pool may have grown to its size, and no connection is forgotten.
	size := max(held, 16, 4*runtime.NumCPU())
	for deadline := time.Now().Add(30 * time.Second); connections(t, database) > size; time.Sleep(100 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("%d connections to the database, %d before", connections(t, database), held)
		}
	}
	t.Logf("connections to the database: %d before, %d after", held, connections(t, database))
}

// connections are those that others have to a database, as its server counts.
func connections(t *testing.T, database string) (n int) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	err = conn.QueryRow(t.Context(), "SELECT count(*) FROM pg_stat_activity "+
		"WHERE datname = current_database() AND backend_type = 'client backend' AND pid <> pg_backend_pid()").Scan(&n)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// count reads a number from the metrics.
func (p *process) count(t *testing.T, metric string) int {
	t.Helper()
	_, body := fetch(t, p.url+"/metrics")
	m := regexp.MustCompile(`(?m)^` + metric + ` (\d+)`).FindStringSubmatch(body)
	if m == nil {
		t.Fatalf("no %s in the metrics", metric)
	}
	n, err := strconv.Atoi(m[1])
	if err != nil {
		t.Fatal(err)
	}
	return n
}
