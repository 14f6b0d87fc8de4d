package hooks

import (
	"errors"
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
		o := judge(c, tc.status, tc.err, now)
		if o.State != tc.state || o.Status != tc.status || !strings.Contains(o.Error, tc.said) || (o.Error == "") != (tc.said == "") || (o.Off != "") != tc.off {
			t.Errorf("%s: %+v", tc.why, o)
		}
		if pending := o.State == storage.DeliveryPending; pending && (o.After <= 0 || o.Pause <= 0 || o.Pause > longestPause) {
			t.Errorf("%s: %+v", tc.why, o)
		}
	}
}
