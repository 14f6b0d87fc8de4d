package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"time"

	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"
)

// gauges are what is followed of the service, as its own metrics name it.
var gauges = []struct {
	name, metric, unit string
	scale              float64
}{
	{"resident memory", "process_resident_memory_bytes", "MB", 1e6},
	{"heap in use", "go_memstats_heap_inuse_bytes", "MB", 1e6},
	{"goroutines", "go_goroutines", "", 1},
	{"open files", "process_open_fds", "", 1},
	{storeSize, "", "MB", 1e6},
}

const storeSize = "size of the store"

// sample is what was read at one time, by name.
type sample struct {
	at     time.Duration
	values map[string]float64
}

// soakSamples is how many are taken in one run: enough for a slope.
const soakSamples = 120

// followed takes samples until the context is done.
func followed(ctx context.Context, s *service, store string, duration time.Duration) <-chan []sample {
	done := make(chan []sample, 1)
	go func() {
		var list []sample
		defer func() { done <- list }()
		start := time.Now()
		tick := time.NewTicker(max(duration/soakSamples, time.Second))
		defer tick.Stop()
		for {
			values, err := s.gauge(ctx, store)
			if ctx.Err() != nil {
				return
			}
			if err != nil {
				fmt.Fprintln(os.Stderr, "load: no sample:", err)
			} else {
				list = append(list, sample{time.Since(start), values})
			}
			select {
			case <-ctx.Done():
				return
			case <-tick.C:
			}
		}
	}()
	return done
}

func (s *service) gauge(ctx context.Context, store string) (map[string]float64, error) {
	_, text, err := s.ask(ctx, http.MethodGet, "/metrics", nil)
	if err != nil {
		return nil, err
	}
	parser := expfmt.NewTextParser(model.UTF8Validation)
	families, err := parser.TextToMetricFamilies(bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	values := map[string]float64{}
	for _, g := range gauges {
		if f := families[g.metric]; f != nil && len(f.GetMetric()) > 0 {
			values[g.name] = f.GetMetric()[0].GetGauge().GetValue() / g.scale
		}
	}
	if store != "" {
		info, err := os.Stat(store)
		if err != nil {
			return nil, err
		}
		values[storeSize] = float64(info.Size()) / 1e6
	}
	return values, nil
}

// writeTrends tells of each gauge how it went in the second half of the run, by
// when caches are full and pools as large as they get.
func writeTrends(to io.Writer, samples []sample) {
	late := samples[len(samples)/2:]
	fmt.Fprintf(to, "\nin the second half, %d samples:\n", len(late))
	for _, g := range gauges {
		var x, y []float64
		for _, s := range late {
			if v, ok := s.values[g.name]; ok {
				x, y = append(x, s.at.Minutes()), append(y, v)
			}
		}
		if len(x) < 3 {
			continue
		}
		t := trendOf(x, y)
		fmt.Fprintf(to, "  %-18s %.1f %s, changing by %+.3g ± %.2g %s a minute: %s\n", g.name, t.mean, g.unit, t.slope, t.halfWidth, g.unit, t.verdict())
	}
}
