package main

import (
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	vegeta "github.com/tsenart/vegeta/v12/lib"
)

// report is how a service bore a load.
type report struct {
	rate   int
	all    vegeta.Metrics
	kinds  map[string]*vegeta.Metrics
	health []probe
}

// Limits of the load itself: what waits longer or beyond them is an error.
const (
	requestTimeout = 30 * time.Second
	maxConnections = 1000
	// idleConnections are kept for the next requests. Few, so that what the
	// service holds for connections is level soon.
	idleConnections = 20
)

// attack sends requests at a fixed rate, however fast they are answered.
func attack(ctx context.Context, m *mix, rate int, duration time.Duration) *report {
	a := vegeta.NewAttacker(vegeta.Timeout(requestTimeout), vegeta.MaxWorkers(maxConnections), vegeta.Connections(idleConnections), vegeta.MaxBody(0), vegeta.Redirects(vegeta.NoFollow))
	defer context.AfterFunc(ctx, func() { a.Stop() })()
	r := &report{rate: rate, kinds: map[string]*vegeta.Metrics{}}
	for result := range a.Attack(m.next, vegeta.Rate{Freq: rate, Per: time.Second}, duration, "mix") {
		r.all.Add(result)
		name := kindOf(result)
		if r.kinds[name] == nil {
			r.kinds[name] = &vegeta.Metrics{}
		}
		r.kinds[name].Add(result)
	}
	r.all.Close()
	for _, k := range r.kinds {
		k.Close()
	}
	return r
}

// kindOf reads the kind from the request's id, which an answer that did not
// come lacks.
func kindOf(result *vegeta.Result) string {
	var k, n int
	if _, err := fmt.Sscanf(result.Headers.Get("X-Request-Id"), "load-%d-%d", &k, &n); err != nil || k < 0 || k >= len(kinds) {
		return "unanswered"
	}
	return kinds[k].name
}

func (r *report) write(to io.Writer) error {
	fmt.Fprintf(to, "asked %d/s for %v: %d requests, sent at %.1f/s, answered well at %.1f/s\n\n", r.rate, r.all.Duration.Round(time.Millisecond), r.all.Requests, r.all.Rate, r.all.Throughput)
	w := tabwriter.NewWriter(to, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "requests\tp50\tp90\tp99\tmax\tstatus\t  kind")
	for _, name := range slices.Sorted(maps.Keys(r.kinds)) {
		writeRow(w, name, r.kinds[name])
	}
	writeRow(w, "all", &r.all)
	r.writeHealth(w)
	return w.Flush()
}

func writeRow(w io.Writer, name string, m *vegeta.Metrics) {
	statuses := []string{}
	for _, code := range slices.Sorted(maps.Keys(m.StatusCodes)) {
		statuses = append(statuses, fmt.Sprintf("%s:%d", code, m.StatusCodes[code]))
	}
	ms := func(d time.Duration) string { return fmt.Sprintf("%.1f ms", d.Seconds()*1000) }
	fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\t  %s\n", m.Requests, ms(m.Latencies.P50), ms(m.Latencies.P90), ms(m.Latencies.P99), ms(m.Latencies.Max),
		strings.Join(statuses, " "), name)
}

func (r *report) writeHealth(to io.Writer) {
	failed := 0
	took := make([]time.Duration, 0, len(r.health))
	for _, p := range r.health {
		if p.err != nil {
			failed++
		}
		took = append(took, p.took)
	}
	if len(took) == 0 {
		return
	}
	slices.Sort(took)
	fmt.Fprintf(to, "\n/healthz meanwhile: %d probes, %d failed, p50 %v, max %v\n", len(took), failed,
		took[len(took)/2].Round(10*time.Microsecond), took[len(took)-1].Round(10*time.Microsecond))
}
