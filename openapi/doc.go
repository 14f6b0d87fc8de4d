// Package openapi holds the contract of the HTTP API: openapi.yaml, embedded so
// that a running service can hand it out and hold requests to it.
package openapi
