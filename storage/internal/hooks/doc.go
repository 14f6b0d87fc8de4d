// Package hooks keeps hooks and the events on their way to them, and leases them
// to workers. A worker claims a hook rather than a delivery: so events reach it
// one after the other, and one that does not answer keeps nobody else waiting.
package hooks
