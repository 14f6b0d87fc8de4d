package api

import (
	"fmt"
	"math"
	"sync"
	"time"

	"foldwright/storage/access"

	"github.com/labstack/echo/v4"
)

// limiter is one policy: so many requests a minute for each subject, all of
// which may come at once. It counts what this process sees, so with n processes
// behind a balancer up to n times as many get through; sharing the count would
// cost a round trip for each request.
type limiter struct {
	name   string
	most   float64 // requests a minute; 0 is no limit
	mu     sync.Mutex
	left   map[string]tokens
	sweeps time.Time // when full buckets were last thrown away
}

// Names of the policies.
const (
	rateOfKeys      = "key"
	rateOfAddresses = "address"
)

// tokens is a bucket: how many requests were left at a time. It fills evenly.
type tokens struct {
	left float64
	at   time.Time
}

// maxSubjects bounds the memory of a limiter. Subjects beyond it share one
// bucket, until others have been quiet for a minute.
const maxSubjects = 1 << 16

func newLimiter(name string, perMinute int) *limiter {
	return &limiter{name: name, most: float64(perMinute), left: map[string]tokens{}}
}

// allowance is what a policy leaves a subject.
type allowance struct {
	*limiter
	left float64       // requests
	wait time.Duration // until there is one; 0 when this one is let through
}

// take takes a request out of a subject's bucket.
func (l *limiter) take(subject string, now time.Time) allowance {
	l.mu.Lock()
	defer l.mu.Unlock()
	if now.Sub(l.sweeps) >= time.Minute {
		l.sweep(now)
	}
	bucket, known := l.left[subject]
	if !known {
		if len(l.left) >= maxSubjects {
			subject = ""
			bucket, known = l.left[subject]
		}
		if !known {
			bucket = tokens{l.most, now}
		}
	}
	left := l.filled(bucket, now)
	if left < 1 {
		l.left[subject] = tokens{left, now}
		return allowance{l, 0, time.Duration((1 - left) / l.most * float64(time.Minute))}
	}
	l.left[subject] = tokens{left - 1, now}
	return allowance{l, left - 1, 0}
}

func (l *limiter) filled(b tokens, now time.Time) float64 {
	return min(l.most, b.left+max(0, now.Sub(b.at).Minutes())*l.most)
}

func (l *limiter) sweep(now time.Time) {
	l.sweeps = now
	for subject, b := range l.left {
		if l.filled(b, now) >= l.most {
			delete(l.left, subject)
		}
	}
}

// holdToRate charges a request to those it counts for: the key, and the address
// where a key is public, missing or not good. Running the service costs
// nothing, nor does it cost its owner on their own machine.
func (s *Server) holdToRate(c echo.Context, x *exchange, refused bool) error {
	p := x.principal
	if p.self || x.operation != nil && x.operation.service && !refused {
		return nil
	}
	now := s.now()
	var list []allowance
	if s.keyRate.most > 0 && p.key != nil {
		list = append(list, s.keyRate.take(p.key.ID, now))
	}
	if s.addressRate.most > 0 && (p.key == nil || p.key.Scope == access.Browser) {
		list = append(list, s.addressRate.take(p.address, now))
	}
	header := c.Response().Header()
	for _, a := range list {
		header.Add("RateLimit-Policy", fmt.Sprintf("%q;q=%d;w=60", a.name, int(a.most)))
		header.Add("RateLimit", fmt.Sprintf("%q;r=%d;t=%d", a.name, int(a.left), seconds(a.untilFull())))
	}
	for _, a := range list {
		if a.wait > 0 {
			return &fault{kind: tooManyRequests, reason: a.name, after: a.wait, detail: fmt.Sprintf(
				"at most %d requests in 60 seconds are answered for this %s; try again in %s", int(a.most), a.name, counted(uint64(seconds(a.wait)), "second"))}
		}
	}
	return nil
}

func (a allowance) untilFull() time.Duration {
	return time.Duration((a.most - a.left) / a.most * float64(time.Minute))
}

// seconds is a time in whole seconds, never too early.
func seconds(d time.Duration) int { return max(1, int(math.Ceil(d.Seconds()))) }
