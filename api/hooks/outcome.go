package hooks

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"time"

	"foldwright/storage"
)

// When an event is tried again: after 5 s, then five times as long each time, up
// to a day. The tenth attempt is about three days after the first.
const (
	firstWait   = 5 * time.Second
	waitGrowth  = 5
	longestWait = 24 * time.Hour
	maxAttempts = 10
	// jitter is how much of a wait is left to chance, so that what failed
	// together is not tried together.
	jitter = 0.4

	// longestPause is the longest for which a hook that fails is sent nothing
	// at all, unless it asks for longer: so many events wait for it, and still it
	// is found soon when it is back.
	longestPause = 5 * time.Minute

	// offAfter is how long a hook may fail before it is switched off: a long
	// weekend, and then a day.
	offAfter = 4 * 24 * time.Hour
)

// wait is how long to wait after a number of failures.
func wait(failures int) time.Duration {
	d := firstWait
	for range failures - 1 {
		if d = d * waitGrowth; d >= longestWait {
			d = longestWait
			break
		}
	}
	return time.Duration(float64(d) * (1 - jitter/2 + jitter*rand.Float64()))
}

// judge decides what becomes of a delivery that was answered, or not. What the
// specification says of 410 and of Retry-After is done.
func judge(c *storage.DeliveryClaim, answer reply, err error, now time.Time) storage.DeliveryOutcome {
	status := answer.status
	o := storage.DeliveryOutcome{State: storage.DeliveryPending, Status: status}
	switch {
	case err != nil:
		o.Error = words(err)
	case status >= 200 && status < 300:
		o.State = storage.DeliveryDelivered
		return o
	case status >= 300 && status < 400:
		o.Error = fmt.Sprintf("the answer was %d; redirects are not followed", status)
	default:
		o.Error = fmt.Sprintf("the answer was %d", status)
	}
	o.After = max(wait(c.Attempts), answer.after)
	o.Pause = max(min(wait(c.Hook.Failures+1), longestPause), answer.after)
	if c.Attempts >= maxAttempts || status == http.StatusGone {
		o.State = storage.DeliveryFailed
	}
	since := c.Hook.FailingSince
	switch {
	case status == http.StatusGone:
		o.Off = "the receiver answered 410: it wants nothing more"
	case since != nil && now.Sub(*since) > offAfter:
		o.Off = fmt.Sprintf("nothing has arrived since %s; at last, %s", since.Format(time.RFC3339), o.Error)
	}
	return o
}
