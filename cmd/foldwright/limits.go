package main

import (
	"errors"
	"fmt"
	"time"

	"foldwright/api"
	"foldwright/storage"
)

// limitFlags bound what clients may ask of the service and keep in it.
type limitFlags struct {
	KeyRate     int `env:"FOLDWRIGHT_KEY_RATE" default:"1200" help:"Requests a minute for one key, counted by each process; 0 is any number."`
	AddressRate int `env:"FOLDWRIGHT_ADDRESS_RATE" default:"300" help:"Requests a minute for one address that sends no key, a public one or a share's; 0 is any number."`

	RequestTimeout time.Duration `env:"FOLDWRIGHT_REQUEST_TIMEOUT" default:"25s" help:"Longest work on one request, once its turn has come."`
	Concurrency    int           `env:"FOLDWRIGHT_CONCURRENCY" help:"Requests that work on designs at once, of which one client has all but one at most. Default: one for each processor, and one more."`
	QueueLength    int           `env:"FOLDWRIGHT_QUEUE_LENGTH" default:"200" help:"Requests that may wait for that."`
	QueueWait      time.Duration `env:"FOLDWRIGHT_QUEUE_WAIT" default:"10s" help:"How long each may wait."`
	CacheBytes     int           `env:"FOLDWRIGHT_CACHE_BYTES" default:"67108864" help:"Bytes of answers that are kept in memory, so that what is asked often is worked out once; 0 is none. The process may grow by twice that."`

	JobWorkers   int           `env:"FOLDWRIGHT_JOB_WORKERS" help:"Jobs that are worked on at once. Default: half the processors."`
	JobTimeout   time.Duration `env:"FOLDWRIGHT_JOB_TIMEOUT" default:"15m" help:"Longest work on one job."`
	JobRetention time.Duration `env:"FOLDWRIGHT_JOB_RETENTION" default:"24h" help:"How long a job and its result are kept after it has ended."`

	DeletedRetention time.Duration `env:"FOLDWRIGHT_DELETED_RETENTION" default:"2160h" help:"How long a deleted design can be restored before it is forgotten for good; 0 is for ever."`

	HookPrivate bool `env:"FOLDWRIGHT_HOOK_PRIVATE" help:"Let hooks reach the service's own network, also without encryption. For a closed network, whose keys may reach it too."`

	MaxDesigns  int64 `env:"FOLDWRIGHT_MAX_DESIGNS" default:"100000" help:"Designs of one workspace; 0 is any number."`
	MaxVersions int64 `env:"FOLDWRIGHT_MAX_VERSIONS" default:"1000000" help:"Versions of them all, deleted ones too; 0 is any number."`
	MaxBytes    int64 `env:"FOLDWRIGHT_MAX_BYTES" default:"10000000000" help:"Bytes of their documents; 0 is any number."`
}

func (f *limitFlags) quota() storage.Quota {
	return storage.Quota{Designs: f.MaxDesigns, Versions: f.MaxVersions, Bytes: f.MaxBytes}
}

func (f *limitFlags) apply(config *api.Config) {
	config.Quota = f.quota()
	config.KeyRate, config.AddressRate = f.KeyRate, f.AddressRate
	config.RequestTimeout = f.RequestTimeout
	config.HookPrivate = f.HookPrivate
	config.CacheBytes = f.CacheBytes
	config.JobWorkers, config.JobTimes.Budget = f.JobWorkers, f.JobTimeout
	config.Concurrency, config.QueueLength, config.QueueWait = f.Concurrency, f.QueueLength, f.QueueWait
}

// longest is the longest from the end of a request to its answer.
func (f *limitFlags) longest() time.Duration { return f.QueueWait + f.RequestTimeout }

// Validate refuses what is less than makes sense.
func (f *limitFlags) Validate() error {
	return errors.Join(
		atLeast("FOLDWRIGHT_KEY_RATE", int64(f.KeyRate), 0),
		atLeast("FOLDWRIGHT_ADDRESS_RATE", int64(f.AddressRate), 0),
		atLeast("FOLDWRIGHT_CONCURRENCY", int64(f.Concurrency), 0),
		atLeast("FOLDWRIGHT_QUEUE_LENGTH", int64(f.QueueLength), 1),
		atLeast("FOLDWRIGHT_CACHE_BYTES", int64(f.CacheBytes), 0),
		atLeast("FOLDWRIGHT_JOB_WORKERS", int64(f.JobWorkers), 0),
		atLeast("FOLDWRIGHT_MAX_DESIGNS", f.MaxDesigns, 0),
		atLeast("FOLDWRIGHT_MAX_VERSIONS", f.MaxVersions, 0),
		atLeast("FOLDWRIGHT_MAX_BYTES", f.MaxBytes, 0),
		atLeast("FOLDWRIGHT_REQUEST_TIMEOUT", f.RequestTimeout, time.Millisecond),
		atLeast("FOLDWRIGHT_QUEUE_WAIT", f.QueueWait, time.Millisecond),
		atLeast("FOLDWRIGHT_JOB_TIMEOUT", f.JobTimeout, time.Second),
		atLeast("FOLDWRIGHT_JOB_RETENTION", f.JobRetention, time.Minute),
		atLeast("FOLDWRIGHT_DELETED_RETENTION", f.DeletedRetention, 0),
	)
}

// atLeast refuses a setting that is less.
func atLeast[T int64 | time.Duration](name string, value, least T) error {
	if value < least {
		return fmt.Errorf("%s is %v; it must be at least %v", name, value, least)
	}
	return nil
}
