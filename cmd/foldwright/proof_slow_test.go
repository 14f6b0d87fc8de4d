//go:build linux

package main

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

// Clients that are slow, idle or gone keep nobody waiting, are ended by the
// service, and leave nothing behind.
func TestProofSlowClients(t *testing.T) {
	proofRounds(t, 1)
	t.Parallel()
	p := startProcess(t, t.TempDir())
	address := strings.TrimPrefix(p.url, "http://")
	resident := p.size(t)
	dial := func(send string) net.Conn {
		t.Helper()
		c, err := net.Dial("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { c.Close() })
		if _, err := io.WriteString(c, send); err != nil {
			t.Fatal(err)
		}
		return c
	}
	head := "POST /v1/check HTTP/1.1\r\nHost: " + address + "\r\nContent-Type: application/json\r\n"
	slow := map[string][]net.Conn{}
	for range 50 {
		slow["half a header"] = append(slow["half a header"], dial("GET /healthz HTTP/1.1\r\nHost: "))
		slow["half a body"] = append(slow["half a body"], dial(head+"Content-Length: 1000000\r\n\r\n{"))
		slow["half a chunk"] = append(slow["half a chunk"], dial(head+"Transfer-Encoding: chunked\r\n\r\nff\r\n{"))
		// Long answers that nobody reads.
		dial(strings.Repeat("GET /openapi.json HTTP/1.1\r\nHost: "+address+"\r\n\r\n", 40))
	}
	for range 1000 {
		dial("") // idle from the start
	}
	half := dial("GET /healthz HTTP/1.1\r\nHost: " + address + "\r\n\r\n")
	if err := half.(*net.TCPConn).CloseWrite(); err != nil {
		t.Fatal(err)
	}
	if answer, err := http.ReadResponse(bufio.NewReader(half), nil); err != nil {
		t.Errorf("a client that has closed its half gets no answer: %v", err)
	} else if answer.Body.Close(); answer.StatusCode != http.StatusOK {
		t.Errorf("a client that has closed its half gets %d", answer.StatusCode)
	}
	for range 20 { // others are served meanwhile
		if status := p.status("/v1/examples/harbour/check"); status != http.StatusOK {
			t.Errorf("others are answered with %d", status)
		}
	}
	if grown := p.size(t) - resident; grown > 256<<20 {
		t.Errorf("%d bytes for 1201 connections that do nothing", grown)
	}
	// What is ended within the time for reading is seen to end; the test's own
	// limit is far longer than that.
	for why, list := range slow {
		for _, c := range list {
			c.SetReadDeadline(time.Now().Add(2 * readTimeout))
			if _, err := io.Copy(io.Discard, c); err != nil && strings.Contains(err.Error(), "timeout") {
				t.Fatalf("%s: still open after %v", why, 2*readTimeout)
			}
		}
	}
}

// size is the memory the process has, in bytes.
func (p *process) size(t *testing.T) int {
	t.Helper()
	_, body := fetch(t, p.url+"/metrics")
	var n float64
	for line := range strings.Lines(body) {
		if _, err := fmt.Sscanf(line, "process_resident_memory_bytes %g", &n); err == nil {
			return int(n)
		}
	}
	t.Fatal("no size in the metrics")
	return 0
}
