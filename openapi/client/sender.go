package client

import (
	"crypto/rand"
	"net/http"
	"strconv"
	"time"
)

// Defaults of a Sender.
const (
	// DefaultTries outlasts a rolling restart of the service.
	DefaultTries = 4
	// DefaultLongestWait is about as long as somebody waits for an answer.
	DefaultLongestWait = 30 * time.Second
)

// Sender sends requests with a key. Where the service is busy (429, 503) it
// waits as long as the answer's Retry-After says and sends again; a request that
// changes something carries an Idempotency-Key, so that it is not done twice. An
// answer that tells of a problem is a *Problem error.
type Sender struct {
	Key         string
	HTTP        *http.Client  // nil is http.DefaultClient
	Tries       int           // how often one request is sent at most; 0 is DefaultTries
	LongestWait time.Duration // an answer that asks for longer is the end; 0 is DefaultLongestWait
}

// Do is what HttpRequestDoer asks for.
func (s *Sender) Do(r *http.Request) (*http.Response, error) {
	if s.Key != "" {
		r.Header.Set("Authorization", "Bearer "+s.Key)
	}
	if r.Method != http.MethodGet && r.Method != http.MethodHead && r.Header.Get("Idempotency-Key") == "" {
		r.Header.Set("Idempotency-Key", rand.Text())
	}
	for try := 1; ; try++ {
		answer, err := s.client().Do(r)
		if err != nil {
			return nil, err
		}
		wait, busy := s.wait(answer)
		if !busy || try >= s.tries() || !rewind(r) {
			return answer, problemOf(answer)
		}
		answer.Body.Close()
		select {
		case <-r.Context().Done():
			return nil, r.Context().Err()
		case <-time.After(wait):
		}
	}
}

// wait tells how long to wait before asking again, if that is of any use.
func (s *Sender) wait(answer *http.Response) (time.Duration, bool) {
	if answer.StatusCode != http.StatusTooManyRequests && answer.StatusCode != http.StatusServiceUnavailable {
		return 0, false
	}
	seconds, err := strconv.Atoi(answer.Header.Get("Retry-After")) // RFC 9110, 10.2.3: the service tells seconds
	wait := time.Duration(seconds) * time.Second
	longest := s.LongestWait
	if longest == 0 {
		longest = DefaultLongestWait
	}
	return wait, err == nil && wait >= 0 && wait <= longest
}

// rewind makes a request ready to be sent again, if its body can be read twice.
func rewind(r *http.Request) bool {
	if r.Body == nil || r.Body == http.NoBody {
		return true
	}
	if r.GetBody == nil {
		return false
	}
	body, err := r.GetBody()
	r.Body = body
	return err == nil
}

func (s *Sender) tries() int {
	if s.Tries == 0 {
		return DefaultTries
	}
	return s.Tries
}

func (s *Sender) client() *http.Client {
	if s.HTTP == nil {
		return http.DefaultClient
	}
	return s.HTTP
}
