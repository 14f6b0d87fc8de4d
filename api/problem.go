package api

import (
	"fmt"
	"net/http"
	"strings"
	"time"
)

// fault is an error that the client is told about.
type fault struct {
	kind   *problemKind
	detail string
	errors []FieldError
	cause  error // for the log only
	// reason tells, in the metrics, faults of one kind apart; see protective.
	reason string
	// after is when to try again; 0 is not known.
	after time.Duration
	// challenge is what WWW-Authenticate says besides how to send a key.
	challenge string
}

func (f *fault) Error() string {
	if f.cause != nil {
		return f.kind.name + ": " + f.cause.Error()
	}
	return f.kind.name + ": " + f.detail
}

func (f *fault) Unwrap() error { return f.cause }

// shortly is when to try again what cannot be done now for a reason that passes.
const shortly = 2 * time.Second

// retryAfter is when to try again; 0 is never.
func (f *fault) retryAfter() time.Duration {
	if f.after == 0 && f.kind.status == http.StatusServiceUnavailable {
		return shortly
	}
	return f.after
}

// faultAt is a fault with its places; they make the detail.
func faultAt(kind *problemKind, errors ...FieldError) *fault {
	first := errors[0]
	detail := strings.TrimPrefix(first.Pointer+": "+first.Detail, ": ")
	if more := len(errors) - 1; more > 0 {
		detail += fmt.Sprintf(" (and %d more)", more)
	}
	return &fault{kind: kind, detail: detail, errors: errors}
}

// problem is what the client gets to see of a fault.
func (f *fault) problem(requestID string) *Problem {
	p := &Problem{
		Type:     f.kind.address(),
		Title:    f.kind.title,
		Status:   f.kind.status,
		Detail:   f.detail,
		Instance: requestID,
	}
	if len(f.errors) > 0 {
		p.Errors = &f.errors
	}
	return p
}

// placed puts the faults of a part of the body in their place.
type placed struct {
	prefix string
	err    error
}

func within(prefix string, err error) error { return &placed{prefix, err} }

func (p *placed) Error() string { return p.err.Error() }
func (p *placed) Unwrap() error { return p.err }
