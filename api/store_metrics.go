package api

import (
	"context"
	"errors"
	"time"

	"foldwright/storage"

	"github.com/prometheus/client_golang/prometheus"
)

// storeMetrics are the counters of calls of the store.
type storeMetrics struct {
	calls    *prometheus.HistogramVec
	failures *prometheus.CounterVec
}

// Reasons for which a call of the store fails.
const (
	storeUnavailable = "unavailable" // no database, or too busy
	storeStopped     = "stopped"     // nobody waited any longer
	storeFailed      = "failed"      // anything else
)

func newStoreMetrics() storeMetrics {
	m := storeMetrics{
		calls: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name:    "foldwright_storage_call_duration_seconds",
			Help:    "Time in one call of the store.",
			Buckets: prometheus.ExponentialBuckets(0.0002, 4, 8), // 0.2 ms to 3.3 s
		}, []string{"call"}),
		failures: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "foldwright_storage_errors_total",
			Help: "Calls of the store that failed, by reason. What the store answers well, such as that there is no such design, is no failure.",
		}, []string{"reason"}),
	}
	for _, reason := range []string{storeUnavailable, storeStopped, storeFailed} {
		m.failures.WithLabelValues(reason)
	}
	return m
}

func (m *storeMetrics) storeCall(call string, took time.Duration, err error) {
	m.calls.WithLabelValues(call).Observe(took.Seconds())
	if reason := storeFailure(err); reason != "" {
		m.failures.WithLabelValues(reason).Inc()
	}
}

// storeFailure is why a call failed, empty when it did not.
func storeFailure(err error) string {
	switch {
	case err == nil:
		return ""
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return storeStopped
	case errors.Is(err, storage.ErrUnavailable):
		return storeUnavailable
	case storage.IsAnswer(err):
		return ""
	default:
		return storeFailed
	}
}
