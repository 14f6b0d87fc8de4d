package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"foldwright/api"
	"foldwright/storage"
)

// pipes is a listener for connections that hold nothing back: what the one side
// writes, the other has read. So a client that reads nothing is felt at once,
// not only when the buffers of a machine are full.
type pipes struct {
	come   chan net.Conn
	closed chan struct{}
	close  func()
}

func newPipes() *pipes {
	closed := make(chan struct{})
	return &pipes{make(chan net.Conn), closed, sync.OnceFunc(func() { close(closed) })}
}

func (p *pipes) Accept() (net.Conn, error) {
	select {
	case c := <-p.come:
		return c, nil
	case <-p.closed:
		return nil, net.ErrClosed
	}
}

func (p *pipes) Close() error { p.close(); return nil }

func (p *pipes) Addr() net.Addr { return &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8080} }

// watched is the service's side of a connection, and tells when it is closed.
type watched struct {
	net.Conn
	ended chan struct{}
	end   func()
}

func (w *watched) Close() error { defer w.end(); return w.Conn.Close() }

func (w *watched) RemoteAddr() net.Addr { return &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 4000} }

// dial is a connection of a client, and what is closed when the service ends it.
func (p *pipes) dial() (client net.Conn, ended chan struct{}) {
	client, inside := net.Pipe()
	ended = make(chan struct{})
	p.come <- &watched{inside, ended, sync.OnceFunc(func() { close(ended) })}
	return client, ended
}

// endless has a job that goes on for ever, and designs without end.
type endless struct {
	storage.Database
	storage.Store
	noise []byte
}

func (e *endless) In(string) storage.Store { return e }

func (e *endless) Job(_ context.Context, id string) (storage.Job, error) {
	return storage.Job{ID: id, Operation: "fit", State: storage.JobRunning, Progress: storage.JobProgress{Done: int(time.Now().Unix()), Of: 1 << 40}}, nil
}

func (e *endless) Export(_ context.Context, visit storage.Visit) error {
	for {
		err := visit(storage.Design{ID: "quay", Version: 1}, func(int) (storage.Version, error) {
			return storage.Version{Number: 1, Document: e.noise}, nil
		})
		if err != nil {
			return err
		}
	}
}

// Ways to read what the service sends.
func readsAll(c net.Conn) string   { said, _ := io.ReadAll(c); return string(said) }
func readsNothing(net.Conn) string { return "" }
func readsABit(c net.Conn) string {
	var one [1]byte
	for {
		if _, err := c.Read(one[:]); err != nil {
			return ""
		}
		time.Sleep(time.Second)
	}
}

// sendsSlowly sends a first part at once, and the rest a byte at a time.
func sendsSlowly(c net.Conn, first, rest string, pause time.Duration) {
	_, err := io.WriteString(c, first)
	for i := 0; err == nil && i < len(rest); i++ {
		time.Sleep(pause)
		_, err = c.Write([]byte{rest[i]})
	}
}

// A client may be slow for as long as the service says, and is cut off then,
// whatever it is slow at, with nothing left of it. The clock is the test's own.
func TestSlowConnectionsEnd(t *testing.T) {
	const (
		host  = " HTTP/1.1\r\nHost: 127.0.0.1:8080\r\n"
		whole = "GET /openapi.json" + host + "\r\n"
		body  = "POST /v1/check" + host + "Content-Type: application/json\r\n"
		zip   = "POST /v1/workspace/archive" + host + "Content-Type: application/zip\r\n"
		// Of api: a piece of an archive, all of it, and an event.
		piece, archive, event = 30 * time.Second, 15 * time.Minute, 10 * time.Second
	)
	write := settingsOf(t).longest() + writeTimeout
	long := strings.Repeat("a", 1<<20)
	noise := make([]byte, 1<<16)
	if _, err := rand.Read(noise); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		why         string
		first, rest string
		pause       time.Duration // between bytes of the rest
		reads       func(net.Conn) string
		ends        time.Duration
		answer      string
	}{
		{"sends nothing", "", "", 0, readsAll, readHeaderTimeout, ""},
		{"sends a header slowly", "GET /healthz HTTP/1.1\r\nHost: ", long, time.Second, readsAll, readHeaderTimeout, ""},
		{"sends a body slowly", body + "Content-Length: 1000000\r\n\r\n", long, time.Second, readsAll, readTimeout, "HTTP/1.1 400 "},
		{"and reads nothing", body + "Content-Length: 1000000\r\n\r\n", long, time.Second, readsNothing, write, ""},
		{"sends no body after it is asked to", body + "Expect: 100-continue\r\nContent-Length: 1000000\r\n\r\n", "", 0, readsAll, readTimeout, "HTTP/1.1 100 "},
		{"sends a chunk slowly", body + "Transfer-Encoding: chunked\r\n\r\nfffff\r\n", long, time.Second, readsAll, readTimeout, "HTTP/1.1 400 "},
		{"reads nothing", whole, "", 0, readsNothing, write, ""},
		{"reads a byte at times", whole, "", 0, readsABit, write, ""},
		{"reads nothing packed", "GET /openapi.json" + host + "Accept-Encoding: gzip\r\n\r\n", "", 0, readsNothing, write, ""},
		{"reads nothing of many answers", strings.Repeat(whole, 40), "", 0, readsNothing, write, ""},
		{"reads no events", "GET /v1/jobs/fit/events" + host + "\r\n", "", 0, readsNothing, event, ""},
		{"reads events a byte at times", "GET /v1/jobs/fit/events" + host + "\r\n", "", 0, readsABit, event, ""},
		{"reads no archive", "GET /v1/workspace/archive" + host + "\r\n", "", 0, readsNothing, piece, ""},
		{"sends no more of an archive", zip + "Content-Length: 1000000\r\n\r\nPK", "", 0, readsAll, piece, "HTTP/1.1 422 "},
		{"takes long for an archive", zip + "Content-Length: 20\r\n\r\n", long[:20], 25 * time.Second, readsAll, 20*25*time.Second + idleTimeout, "HTTP/1.1 422 "},
		{"sends an archive slowly", zip + "Content-Length: 1000000\r\n\r\n", long, piece - time.Second, readsAll, archive, "HTTP/1.1 422 "},
		{"is idle after an answer", "GET /healthz" + host + "\r\n", "", 0, readsAll, idleTimeout, "HTTP/1.1 200 "},
	} {
		t.Run(tc.why, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				server, err := api.New(api.Config{Store: &endless{noise: noise}})
				if err != nil {
					t.Fatal(err)
				}
				way := newPipes()
				web := settingsOf(t).patient(&http.Server{Handler: server.Handler(), ErrorLog: slog.NewLogLogger(slog.DiscardHandler, slog.LevelWarn)})
				served := make(chan struct{})
				go func() { defer close(served); _ = web.Serve(way) }()

				client, ended := way.dial()
				start := time.Now()
				var (
					said  string
					sides sync.WaitGroup
				)
				sides.Go(func() { sendsSlowly(client, tc.first, tc.rest, tc.pause) })
				sides.Go(func() { said = tc.reads(client) })
				<-ended
				// A little more is for telling the client.
				if took := time.Since(start); took < tc.ends || took > tc.ends+time.Second {
					t.Errorf("ended after %v, want %v", took, tc.ends)
				}
				sides.Wait()
				if !strings.HasPrefix(said, tc.answer) {
					t.Errorf("answered %.300s", said)
				}

				// Others are served.
				other, ended := way.dial()
				go func() { _, _ = fmt.Fprint(other, "GET /healthz"+host+"Connection: close\r\n\r\n") }()
				if answer, err := http.ReadResponse(bufio.NewReader(bytes.NewReader([]byte(readsAll(other)))), nil); err != nil || answer.StatusCode != http.StatusOK {
					t.Errorf("another is answered %+v, %v", answer, err)
				} else {
					answer.Body.Close()
				}
				<-ended
				if err := web.Close(); err != nil {
					t.Error(err)
				}
				<-served // and a goroutine that is left makes the test fail
			})
		})
	}
}
