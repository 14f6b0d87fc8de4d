package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"time"
)

// service is the one under load, for what is asked beside the load.
type service struct{ url, key string }

var client = http.Client{Timeout: 30 * time.Second}

func (s *service) ask(ctx context.Context, method, path string, body []byte) (http.Header, []byte, error) {
	r, err := http.NewRequestWithContext(ctx, method, s.url+path, bytes.NewReader(body))
	if err != nil {
		return nil, nil, err
	}
	r.Header = s.header()
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if method == http.MethodDelete {
		r.Header.Set("If-Match", "*")
	}
	answer, err := client.Do(r)
	if err != nil {
		return nil, nil, err
	}
	defer answer.Body.Close()
	read, err := io.ReadAll(answer.Body)
	if err == nil && answer.StatusCode >= http.StatusBadRequest {
		err = fmt.Errorf("%s %s: %s: %.300s", method, path, answer.Status, read)
	}
	return answer.Header, read, err
}

func (s *service) header() http.Header {
	h := http.Header{}
	if s.key != "" {
		h.Set("Authorization", "Bearer "+s.key)
	}
	return h
}

// probe is how one request beside the load went.
type probe struct {
	took time.Duration
	err  error
}

func (s *service) probe(ctx context.Context, path string) probe {
	start := time.Now()
	_, _, err := s.ask(ctx, http.MethodGet, path, nil)
	return probe{time.Since(start), err}
}

// probePace is often enough to see a service that stalls.
const probePace = 200 * time.Millisecond

// watched probes until the context is done. A probe that the end cuts off does
// not count.
func watched(ctx context.Context, ask func() probe) <-chan []probe {
	done := make(chan []probe, 1)
	go func() {
		var list []probe
		defer func() { done <- list }()
		tick := time.NewTicker(probePace)
		defer tick.Stop()
		for {
			p := ask()
			if ctx.Err() != nil {
				return
			}
			list = append(list, p)
			select {
			case <-ctx.Done():
				return
			case <-tick.C:
			}
		}
	}()
	return done
}
