package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"time"
)

// healthCommand is for machinery that watches a container with nothing else in
// it: no shell, no curl.
type healthCommand struct {
	Addr string `env:"FOLDWRIGHT_ADDR" default:"127.0.0.1:8080" help:"Address it listens on."`
}

// healthTimeout is longer than the service waits for its database.
const healthTimeout = 8 * time.Second

// Run fails unless the service at the address is ready.
func (c *healthCommand) Run(ctx context.Context, to streams) error {
	addr, err := net.ResolveTCPAddr("tcp", c.Addr)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, healthTimeout)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, baseURL(addr)+"/readyz", nil)
	if err != nil {
		return err
	}
	// Not the default one, which a proxy in the environment would lead astray.
	client := http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	answer, err := client.Do(request)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		const enough = 1 << 10
		why, _ := io.ReadAll(io.LimitReader(answer.Body, enough))
		return fmt.Errorf("not ready: %s %s", answer.Status, strings.TrimSpace(string(why)))
	}
	fmt.Fprintln(to.out, "ready")
	return nil
}
