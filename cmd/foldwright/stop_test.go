//go:build linux

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptrace"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"foldwright/testdata/designs"
)

// startToStop starts a service on a folder, whose log tells of each request.
func startToStop(t *testing.T, dir string, settings ...string) *process {
	t.Helper()
	if testing.Short() {
		t.Skip("starts processes")
	}
	return startProcess(t, dir, append(settings, "FOLDWRIGHT_LOG_LEVEL=info", "FOLDWRIGHT_LOG_FORMAT=json")...)
}

// hold waits until something holds.
func hold(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(60 * time.Second); !is(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("not so: %s", what)
		}
	}
}

func (p *process) signal(t *testing.T) {
	t.Helper()
	if err := p.command.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
}

// terminate sends SIGTERM and waits until the process has noticed.
func (p *process) terminate(t *testing.T) {
	t.Helper()
	p.signal(t)
	hold(t, "shutting down", func() bool { return strings.Contains(p.log.String(), "shutting down") })
}

// end is the exit code, or a signal's negative number.
func (p *process) end(t *testing.T) int {
	t.Helper()
	select {
	case <-p.ended:
	case <-time.After(60 * time.Second):
		t.Fatal("does not end")
	}
	if status, ok := p.command.ProcessState.Sys().(syscall.WaitStatus); ok && status.Signaled() {
		return -int(status.Signal())
	}
	return p.command.ProcessState.ExitCode()
}

func (p *process) host() string { return strings.TrimPrefix(p.url, "http://") }

// answered are the ids of the requests in the log that were answered.
func (p *process) answered(t *testing.T) []string {
	t.Helper()
	ids := []string{}
	for line := range strings.Lines(p.log.String()) {
		var said struct {
			Msg       string
			RequestID string `json:"request_id"`
			Status    int
		}
		if err := json.Unmarshal([]byte(line), &said); err != nil {
			t.Fatalf("%v in %s", err, line)
		}
		if said.Msg == "request" && said.Status != 499 {
			ids = append(ids, said.RequestID)
		}
	}
	return ids
}

// crowd is many clients that ask again and again, each on a connection that it
// keeps, until they cannot any more.
type crowd struct {
	mu     sync.Mutex
	whole  map[string]bool // answers received whole, by request id
	closes int             // answers that told to close the connection
	wrong  []string
	all    sync.WaitGroup
}

func (c *crowd) note(do func()) {
	c.mu.Lock()
	defer c.mu.Unlock()
	do()
}

func newCrowd(t *testing.T, url string, clients int) *crowd {
	c := &crowd{whole: map[string]bool{}}
	raw, _ := designs.Read("quay")
	for i := range clients {
		client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 1}}
		c.all.Go(func() {
			defer client.CloseIdleConnections()
			for n := 0; c.ask(t.Context(), client, url, fmt.Sprintf("boat-%d-%d", i, n), raw); n++ {
			}
		})
	}
	return c
}

// ask reports whether to go on. A refused connection ends it, as does a new one
// that the kernel had taken and the service never saw.
func (c *crowd) ask(ctx context.Context, client *http.Client, url, id string, raw []byte) bool {
	reused := false
	ctx = httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{GotConn: func(i httptrace.GotConnInfo) { reused = i.Reused }})
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, url+"/v1/designs", bytes.NewReader(raw))
	if err != nil {
		c.note(func() { c.wrong = append(c.wrong, err.Error()) })
		return false
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("X-Request-Id", id)
	response, err := client.Do(r)
	if err != nil {
		if reused || !errors.Is(err, syscall.ECONNREFUSED) && !errors.Is(err, syscall.ECONNRESET) && !errors.Is(err, io.EOF) {
			c.note(func() { c.wrong = append(c.wrong, fmt.Sprintf("%s, connection used before: %v: %v", id, reused, err)) })
		}
		return false
	}
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	c.note(func() {
		if err != nil || response.StatusCode != http.StatusCreated || !json.Valid(body) {
			c.wrong = append(c.wrong, fmt.Sprintf("%s: %d, %v, %.200s", id, response.StatusCode, err, body))
			return
		}
		c.whole[id] = true
		if response.Close {
			c.closes++
		}
	})
	return true
}

// Whatever the service begins to answer, its client receives whole; connections
// that are kept end with an answer that says so, and never under a request.
func TestStoppingLosesNoRequest(t *testing.T) {
	for _, delay := range []string{"0s", "50ms", "500ms"} {
		for round := range 3 {
			p := startToStop(t, t.TempDir(), "FOLDWRIGHT_DRAIN_DELAY="+delay)
			c := newCrowd(t, p.url, 16)
			hold(t, "each client was answered", func() bool { c.mu.Lock(); defer c.mu.Unlock(); return len(c.whole) > 50+20*round })
			p.terminate(t)
			c.all.Wait()
			if code := p.end(t); code != exitOK {
				t.Errorf("%s: exit code %d: %s", delay, code, p.log)
			}
			for _, wrong := range c.wrong {
				t.Errorf("%s: %s", delay, wrong)
			}
			logged := p.answered(t)
			for _, id := range logged {
				if !c.whole[id] {
					t.Errorf("%s: %s was answered, and not received", delay, id)
				}
			}
			if len(logged) != len(c.whole) {
				t.Errorf("%s: %d answered, %d received", delay, len(logged), len(c.whole))
			}
			if c.closes == 0 {
				t.Errorf("%s: no client was told to close its connection", delay)
			}
		}
	}
}

// dial is a connection on which a test writes HTTP by hand.
func (p *process) dial(t *testing.T, text string) *net.TCPConn {
	t.Helper()
	conn, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", p.host())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	if _, err := io.WriteString(conn, text); err != nil {
		t.Fatal(err)
	}
	return conn.(*net.TCPConn)
}

// refuses reports whether connections are refused.
func (p *process) refuses() bool {
	conn, err := net.Dial("tcp", p.host())
	if err == nil {
		conn.Close()
	}
	return errors.Is(err, syscall.ECONNREFUSED)
}

// A body that is still being sent, and an answer that is still being read, when
// the service is told to stop.
func TestStoppingWaitsForSlowClients(t *testing.T) {
	for _, delay := range []string{"0s", "300ms"} {
		p := startToStop(t, t.TempDir(), "FOLDWRIGHT_DRAIN_DELAY="+delay)
		raw, _ := designs.Read("quay")
		upload := p.dial(t, fmt.Sprintf("POST /v1/designs HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s", p.host(), len(raw), raw[:20]))
		download := p.dial(t, "")
		fmt.Fprintf(download, "GET /v1/examples/harbour/solve?steps=721&conditioning=true HTTP/1.1\r\nHost: %s\r\n\r\n", p.host())
		reading := bufio.NewReader(download)
		answer, err := http.ReadResponse(reading, nil)
		if err != nil || answer.StatusCode != http.StatusOK || strings.Contains(p.log.String(), "/solve") {
			t.Fatalf("%+v, %v: not at the answer: %s", answer, err, p.log)
		}
		defer answer.Body.Close()
		p.terminate(t)
		hold(t, "connections are refused", p.refuses)
		if _, err := upload.Write(raw[20:]); err != nil {
			t.Fatal(err)
		}
		stored, err := http.ReadResponse(bufio.NewReader(upload), nil)
		if err != nil || stored.StatusCode != http.StatusCreated || !stored.Close {
			t.Fatalf("uploaded: %+v, %v", stored, err)
		}
		stored.Body.Close()
		if n, err := io.Copy(io.Discard, answer.Body); err != nil || n != answer.ContentLength {
			t.Errorf("downloaded %d of %d: %v", n, answer.ContentLength, err)
		}
		if code := p.end(t); code != exitOK {
			t.Errorf("exit code %d: %s", code, p.log)
		}
	}
}

// At once the service is not ready, and still well; those who follow a job are
// told to come again; and what was at work is done by another.
func TestStoppingHandsOn(t *testing.T) {
	dir := t.TempDir()
	p := startToStop(t, dir, "FOLDWRIGHT_DRAIN_DELAY=2s", "FOLDWRIGHT_JOB_WORKERS=1")
	asked := `{"operation":"layout","request":{"example":"harbour","copies":400,"effort":20000,"time_limit":4}}`
	response, err := http.Post(p.url+"/v1/jobs", "application/json", strings.NewReader(asked))
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	job := response.Header.Get("Location")
	events, err := http.Get(p.url + job + "/events")
	if err != nil {
		t.Fatal(err)
	}
	defer events.Body.Close()
	seen := bufio.NewReader(events.Body)
	for line := ""; !strings.Contains(line, `"state":"running"`); {
		if line, err = seen.ReadString('\n'); err != nil {
			t.Fatal(err)
		}
	}
	p.terminate(t)
	if code, body := fetch(t, p.url+"/readyz"); code != http.StatusServiceUnavailable {
		t.Errorf("readyz: %d %s", code, body)
	}
	if code, body := fetch(t, p.url+"/healthz"); code != http.StatusOK {
		t.Errorf("healthz: %d %s", code, body)
	}
	rest, err := io.ReadAll(seen)
	if err != nil || !strings.HasSuffix(string(rest), "\nretry: 1000\n: the service is shutting down; connect again\n\n") || strings.Contains(string(rest), "event: end") {
		t.Errorf("the stream ends with %q, %v", rest, err)
	}
	if code := p.end(t); code != exitOK {
		t.Errorf("exit code %d: %s", code, p.log)
	}
	if !strings.Contains(p.log.String(), "job put back") {
		t.Errorf("logged %s", p.log)
	}
	other := startToStop(t, dir)
	var record struct {
		State    string
		Attempts int
	}
	hold(t, "the job is done", func() bool {
		_, body := fetch(t, other.url+job)
		return json.Unmarshal([]byte(body), &record) == nil && record.State == "done"
	})
	if record.Attempts != 1 {
		t.Errorf("%+v", record)
	}
}

// The second signal does not wait.
func TestASecondSignalStopsAtOnce(t *testing.T) {
	p := startToStop(t, t.TempDir(), "FOLDWRIGHT_DRAIN_DELAY=1m")
	p.dial(t, "POST /v1/designs HTTP/1.1\r\nHost: x\r\nContent-Length: 100\r\n\r\n{")
	p.terminate(t)
	p.signal(t)
	if code := p.end(t); code != -int(syscall.SIGTERM) {
		t.Errorf("ended with %d", code)
	}
}

// Work that takes longer than the bound is answered that there is no time for
// it; a body that does not come is cut off, and the exit code says so.
func TestStoppingIsBounded(t *testing.T) {
	p := startToStop(t, t.TempDir(), "FOLDWRIGHT_SHUTDOWN_TIMEOUT=300ms")
	stuck := p.dial(t, fmt.Sprintf("POST /v1/designs HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{", p.host()))
	body := `{"example":"harbour","copies":400,"effort":20000,"time_limit":15}`
	long := p.dial(t, fmt.Sprintf("POST /v1/layout HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s", p.host(), len(body), body))
	hold(t, "the layout is at work", func() bool {
		_, said := fetch(t, p.url+"/metrics")
		return strings.Contains(said, "\nfoldwright_queue_working 1\n")
	})
	p.terminate(t)
	answer, err := http.ReadResponse(bufio.NewReader(long), nil)
	if err != nil || answer.StatusCode != http.StatusServiceUnavailable || answer.Header.Get("Retry-After") == "" {
		t.Fatalf("%+v, %v", answer, err)
	}
	defer answer.Body.Close()
	told, err := io.ReadAll(answer.Body)
	if err != nil || !strings.Contains(string(told), "the service is shutting down") {
		t.Errorf("answered %s, %v", told, err)
	}
	if n, err := io.Copy(io.Discard, stuck); n > 0 || err != nil && !errors.Is(err, syscall.ECONNRESET) {
		t.Errorf("the stuck upload is answered %d bytes, %v", n, err)
	}
	if code := p.end(t); code != exitFailed || !strings.Contains(p.log.String(), "1 connections were cut off") {
		t.Errorf("ended with %d: %s", code, p.log)
	}
}

// deaf is a listener that goes on accepting until its server is shut down, and
// has not heard that it was closed.
type deaf struct {
	net.Listener
	accepting, heard chan struct{}
}

func (l deaf) Accept() (net.Conn, error) {
	close(l.accepting)
	<-l.heard
	return nil, net.ErrClosed
}

// A server without connections that has not heard of its closed listener ends
// without a fault.
func TestStoppingAtRestIsNoFault(t *testing.T) {
	var config net.ListenConfig
	listener, err := config.Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	slow := deaf{listener, make(chan struct{}), make(chan struct{})}
	server := &http.Server{ReadHeaderTimeout: time.Second}
	server.RegisterOnShutdown(func() { close(slow.heard) })
	w := newWebsite(t.Context(), server, slow)
	served := make(chan struct{})
	go func() { defer close(served); _ = w.Serve(w.listener) }()
	<-slow.accepting
	if err := w.finish(slog.New(slog.DiscardHandler), time.Second); err != nil {
		t.Error(err)
	}
	<-served
}
