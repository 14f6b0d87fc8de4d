package api

import (
	"context"
	"time"

	"foldwright/api/jobs"
	"foldwright/storage"

	"github.com/prometheus/client_golang/prometheus"
)

// jobMetrics are the counters of jobs.
type jobMetrics struct {
	waits    *prometheus.HistogramVec
	ends     *prometheus.CounterVec
	attempts *prometheus.HistogramVec
}

func newJobMetrics() jobMetrics {
	m := jobMetrics{
		waits: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name:    "foldwright_job_wait_seconds",
			Help:    "Time from the submission of a job to its first start, by operation.",
			Buckets: prometheus.ExponentialBuckets(0.1, 4, 8), // 0.1 s to 27 min
		}, []string{"operation"}),
		ends: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "foldwright_jobs_ended_total",
			Help: "Jobs that ended, by operation and state.",
		}, []string{"operation", "state"}),
	}
	m.attempts = prometheus.NewHistogramVec(prometheus.HistogramOpts{
		Name:    "foldwright_job_attempt_duration_seconds",
		Help:    "Time a worker was at work on a job, by operation and how that ended: done, failed, lost to a cancelling or to another worker, put back.",
		Buckets: prometheus.ExponentialBuckets(0.1, 4, 8), // 0.1 s to 27 min
	}, []string{"operation", "outcome"})
	for operation := range jobWork {
		m.waits.WithLabelValues(string(operation))
		for _, outcome := range jobs.Outcomes() {
			m.attempts.WithLabelValues(string(operation), string(outcome))
		}
		for _, state := range []storage.JobState{storage.JobDone, storage.JobFailed, storage.JobCancelled} {
			m.ends.WithLabelValues(string(operation), string(state))
		}
	}
	return m
}

func (m *jobMetrics) attemptBegan(j *storage.Job) {
	if j.Attempts == 1 {
		m.waits.WithLabelValues(j.Operation).Observe(j.StartedAt.Sub(j.CreatedAt).Seconds())
	}
}

func (m *jobMetrics) attemptEnded(j *storage.Job, outcome jobs.Outcome, took time.Duration) {
	m.attempts.WithLabelValues(j.Operation, string(outcome)).Observe(took.Seconds())
}

func (m *jobMetrics) jobEnded(j *storage.Job, state storage.JobState) {
	m.ends.WithLabelValues(j.Operation, string(state)).Inc()
}

// jobCollector reports the queue of jobs as the store has it: the same from
// every replica.
type jobCollector struct{ queue storage.JobQueue }

var jobsOpen = prometheus.NewDesc("foldwright_jobs", "Jobs that have not ended, by operation and state.", []string{"operation", "state"}, nil)

// Describe implements prometheus.Collector.
func (c jobCollector) Describe(to chan<- *prometheus.Desc) { to <- jobsOpen }

// Collect implements prometheus.Collector. What cannot be counted is left out.
func (c jobCollector) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), storeTimeout)
	defer cancel()
	counts, err := c.queue.CountJobs(ctx)
	if err != nil {
		return
	}
	for _, n := range counts {
		to <- prometheus.MustNewConstMetric(jobsOpen, prometheus.GaugeValue, float64(n.N), n.Operation, string(n.State))
	}
}
