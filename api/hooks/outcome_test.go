package hooks

import (
	"errors"
	"net/http"
	"strings"
	"testing"
	"time"

	"foldwright/storage"
)

func TestWaitsGrowToADay(t *testing.T) {
	var sum time.Duration
	for failures := 1; failures < maxAttempts; failures++ {
		least, most := time.Duration(1<<62), time.Duration(0)
		for range 1000 {
			d := wait(failures)
			least, most = min(least, d), max(most, d)
		}
		// 5 s times 5 to the n, to a day; a fifth less to a fifth more.
		middle := min(time.Duration(5*[]int{1, 5, 25, 125, 625, 3125, 15625, 78125, 390625}[failures-1])*time.Second, 24*time.Hour)
		if least < middle*8/10 || most > middle*12/10 || most-least < middle*3/10 {
			t.Errorf("after %d failures %v to %v around %v", failures, least, most, middle)
		}
		sum += middle
	}
	if sum < 3*24*time.Hour || sum > 4*24*time.Hour {
		t.Errorf("the last attempt comes after %v", sum)
	}
}

func TestOutcomes(t *testing.T) {
	now := time.Now()
	long, lately := now.Add(-5*24*time.Hour), now.Add(-3*24*time.Hour)
	for _, tc := range []struct {
		why     string
		attempt int
		since   *time.Time
		status  int
		err     error
		state   storage.DeliveryState
		said    string
		off     bool
	}{
		{"taken", 1, nil, 200, nil, storage.DeliveryDelivered, "", false},
		{"taken at last", maxAttempts, &long, 204, nil, storage.DeliveryDelivered, "", false},
		{"failed", 1, nil, 500, nil, storage.DeliveryPending, "the answer was 500", false},
		{"too many", 1, nil, 429, nil, storage.DeliveryPending, "the answer was 429", false},
		{"led elsewhere", 1, nil, 302, nil, storage.DeliveryPending, "redirects are not followed", false},
		{"no answer", 1, nil, 0, errors.New("gull"), storage.DeliveryPending, "the connection failed", false},
		{"inside", 1, nil, 0, errInside, storage.DeliveryPending, "inside the network", false},
		{"for the last time", maxAttempts, &lately, 500, nil, storage.DeliveryFailed, "the answer was 500", false},
		{"failing for long", 3, &long, 500, nil, storage.DeliveryPending, "the answer was 500", true},
		{"unwanted", 1, nil, 410, nil, storage.DeliveryFailed, "the answer was 410", true},
	} {
		c := &storage.DeliveryClaim{Delivery: storage.Delivery{Attempts: tc.attempt}, Hook: storage.Hook{FailingSince: tc.since}}
		o := judge(c, reply{status: tc.status}, tc.err, now)
		if o.State != tc.state || o.Status != tc.status || !strings.Contains(o.Error, tc.said) || (o.Error == "") != (tc.said == "") || (o.Off != "") != tc.off {
			t.Errorf("%s: %+v", tc.why, o)
		}
		if pending := o.State == storage.DeliveryPending; pending && (o.After <= 0 || o.Pause <= 0 || o.Pause > longestPause) {
			t.Errorf("%s: %+v", tc.why, o)
		}
	}
}

// The examples of dates are those of RFC 9110, section 5.6.7.
func TestRetryAfter(t *testing.T) {
	now := time.Date(1994, time.November, 6, 8, 48, 37, 0, time.UTC)
	for _, tc := range []struct {
		status int
		asked  string
		want   time.Duration
	}{
		{429, "120", 2 * time.Minute},
		{503, "120", 2 * time.Minute},
		{503, "0", 0},
		{503, "Sun, 06 Nov 1994 08:49:37 GMT", time.Minute},
		{429, "Sunday, 06-Nov-94 08:49:37 GMT", time.Minute},
		{429, "Sun Nov  6 08:49:37 1994", time.Minute},
		{503, "Sun, 06 Nov 1994 08:00:00 GMT", 0}, // over
		{503, "Sun, 06 Nov 1999 08:00:00 GMT", longestWait},
		{503, "86401", longestWait},
		{503, "99999999999999999999999", longestWait},
		{503, "-5", 0},
		{503, "soon", 0},
		{503, "", 0},
		{500, "120", 0},
	} {
		answer := &http.Response{StatusCode: tc.status, Header: http.Header{"Retry-After": {tc.asked}}}
		got := retryAfter(answer, now)
		if got != tc.want {
			t.Errorf("%d, %q: %v, want %v", tc.status, tc.asked, got, tc.want)
		}
		c := &storage.DeliveryClaim{Delivery: storage.Delivery{Attempts: 1}}
		if o := judge(c, reply{tc.status, got}, nil, now); o.After < got || o.Pause < got {
			t.Errorf("%d, %q: tried again after %v and %v", tc.status, tc.asked, o.After, o.Pause)
		}
	}
	// Whoever has failed for long is not tried sooner because of it.
	c := &storage.DeliveryClaim{Delivery: storage.Delivery{Attempts: 5}}
	if o := judge(c, reply{503, time.Second}, nil, now); o.After < wait(4) {
		t.Errorf("tried again after %v", o.After)
	}
}
