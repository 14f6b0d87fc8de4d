// Package jobs keeps jobs and leases them to workers.
package jobs
