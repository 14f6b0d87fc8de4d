// Package jobs works off a queue of jobs. A worker claims a job for a short
// lease and keeps lengthening it; a worker that is killed stops doing so, and
// another takes the job. What the work is, the package does not know.
package jobs
