package main

import (
	"context"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

func TestHealth(t *testing.T) {
	s := startServing(t, "--data-dir", t.TempDir(), "--drain-delay", "1m")
	_, port, err := net.SplitHostPort(strings.TrimPrefix(s.url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	for _, addr := range []string{"127.0.0.1:", "0.0.0.0:", ":", "localhost:"} {
		if code, out, errs := runOnce(t, "health", "--addr", addr+port); code != exitOK || out != "ready\n" {
			t.Errorf("%s: exit code %d: %s%s", addr, code, out, errs)
		}
	}
	// While it drains it answers, and says that it is not ready.
	s.stop()
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		code, _, errs := runOnce(t, "health", "--addr", "127.0.0.1:"+port)
		if code == exitFailed && strings.Contains(errs, "not ready: 503") {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("draining: exit code %d: %s", code, errs)
		}
	}
}

func TestHealthOfNothing(t *testing.T) {
	var l net.ListenConfig
	listener, err := l.Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr := listener.Addr().String()
	listener.Close()
	for _, addr := range []string{addr, "gull"} {
		if code, _, errs := runOnce(t, "health", "--addr", addr); code != exitFailed || errs == "" {
			t.Errorf("%s: exit code %d: %s", addr, code, errs)
		}
	}
}

// What answers on the port may be something else, or may not answer at all.
func TestHealthEnds(t *testing.T) {
	other := http.Server{Handler: http.NotFoundHandler(), ReadHeaderTimeout: time.Second}
	var l net.ListenConfig
	listener, err := l.Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go other.Serve(listener)
	defer other.Close()
	if code, _, errs := runOnce(t, "health", "--addr", listener.Addr().String()); code != exitFailed || !strings.Contains(errs, "404") {
		t.Errorf("exit code %d: %s", code, errs)
	}
	silent, err := l.Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer silent.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if code := run(ctx, []string{"health", "--addr", silent.Addr().String()}, &output{}, &output{}); code != exitFailed {
		t.Errorf("exit code %d", code)
	}
}
