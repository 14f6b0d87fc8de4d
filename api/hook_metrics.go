package api

import (
	"context"
	"time"

	"foldwright/storage"

	"github.com/prometheus/client_golang/prometheus"
)

// hookMetrics are the counters of hooks.
type hookMetrics struct{ sends *prometheus.CounterVec }

// Outcomes of attempts to deliver an event.
const (
	outcomeDelivered = "delivered"
	outcomeRetried   = "retried" // failed, and is tried again
	outcomeGivenUp   = "given_up"
)

func newHookMetrics() hookMetrics {
	m := hookMetrics{prometheus.NewCounterVec(prometheus.CounterOpts{
		Name: "foldwright_hook_attempts_total",
		Help: "Attempts to deliver an event to a hook, by outcome.",
	}, []string{"outcome"})}
	for _, outcome := range []string{outcomeDelivered, outcomeRetried, outcomeGivenUp} {
		m.sends.WithLabelValues(outcome)
	}
	return m
}

// attemptOutcomes are those of a delivery in the state that an attempt leaves.
var attemptOutcomes = map[storage.DeliveryState]string{
	storage.DeliveryDelivered: outcomeDelivered, storage.DeliveryPending: outcomeRetried, storage.DeliveryFailed: outcomeGivenUp,
}

// delivery counts and traces an attempt to deliver an event.
func (s *Server) delivery(ctx context.Context, c *storage.DeliveryClaim) (context.Context, func(*storage.DeliveryOutcome)) {
	ctx, span := s.tracedDelivery(ctx, c)
	return ctx, func(o *storage.DeliveryOutcome) {
		endDelivery(span, o)
		if o != nil {
			s.metrics.sends.WithLabelValues(attemptOutcomes[o.State]).Inc()
		}
	}
}

// hookCollector reports what waits for hooks as the store has it: the same from
// every replica.
type hookCollector struct{ queue storage.HookQueue }

var (
	hooksPending = prometheus.NewDesc("foldwright_hook_pending", "Events that have yet to be delivered to hooks that are active.", nil, nil)
	hooksOverdue = prometheus.NewDesc("foldwright_hook_overdue_seconds", "For how long the oldest event that is due has been so.", nil, nil)
)

// Describe implements prometheus.Collector.
func (c hookCollector) Describe(to chan<- *prometheus.Desc) { to <- hooksPending; to <- hooksOverdue }

// Collect implements prometheus.Collector. What cannot be counted is left out.
func (c hookCollector) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), storeTimeout)
	defer cancel()
	b, err := c.queue.Backlog(ctx)
	if err != nil {
		return
	}
	var overdue float64
	if b.OldestDue != nil {
		overdue = max(0, time.Since(*b.OldestDue).Seconds())
	}
	to <- prometheus.MustNewConstMetric(hooksPending, prometheus.GaugeValue, float64(b.Pending))
	to <- prometheus.MustNewConstMetric(hooksOverdue, prometheus.GaugeValue, overdue)
}
