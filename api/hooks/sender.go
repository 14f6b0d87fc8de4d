package hooks

import (
	"bytes"
	"context"
	"crypto/tls"
	"errors"
	"io"
	"net"
	"net/http"
	"strconv"
	"time"
)

// Limits on what a receiver may take.
const (
	dialTimeout    = 5 * time.Second
	maxHeaderBytes = 16 << 10
	maxAnswerBytes = 4 << 10 // read so that the connection can be used again; the rest is cut off
	idleTimeout    = 30 * time.Second
	maxIdle        = 32
)

type sender struct {
	client *http.Client
	agent  string
}

// newSender neither follows redirects, which would lead past what was checked,
// nor uses the proxy of the environment, which could reach what this may not.
func newSender(reach Reach, agent string) *sender {
	dialer := &net.Dialer{Timeout: dialTimeout, Control: reach.control}
	return &sender{agent: agent, client: &http.Client{
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		Transport: &http.Transport{
			DialContext: dialer.DialContext, TLSHandshakeTimeout: dialTimeout,
			MaxResponseHeaderBytes: maxHeaderBytes, DisableCompression: true,
			MaxIdleConns: maxIdle, MaxIdleConnsPerHost: 1, IdleConnTimeout: idleTimeout,
		},
	}}
}

// A message is what is sent.
type message struct {
	url, secret, id string
	body            []byte
}

// A reply is what a receiver answered.
type reply struct {
	status int           // 0 if it did not
	after  time.Duration // how long it asked to be left alone
}

// send returns the answer.
func (s *sender) send(ctx context.Context, m *message) (reply, error) {
	at := time.Now()
	signature, err := sign(m.secret, m.id, at, m.body)
	if err != nil {
		return reply{}, err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, m.url, bytes.NewReader(m.body))
	if err != nil {
		return reply{}, err
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("User-Agent", s.agent)
	r.Header.Set("webhook-id", m.id)
	r.Header.Set("webhook-timestamp", strconv.FormatInt(at.Unix(), 10))
	r.Header.Set("webhook-signature", signature)
	answer, err := s.client.Do(r)
	if err != nil {
		return reply{}, err
	}
	defer answer.Body.Close()
	// The status tells all; what becomes of the rest does not matter.
	_, _ = io.CopyN(io.Discard, answer.Body, maxAnswerBytes)
	return reply{answer.StatusCode, retryAfter(answer, time.Now())}, nil
}

// retryAfter is for how long a receiver that has too much to do wants to be left
// alone, as seconds or as a date (RFC 9110, section 10.2.3, and RFC 6585, section
// 4): up to the longest wait, and nothing where it does not say.
func retryAfter(answer *http.Response, now time.Time) time.Duration {
	if answer.StatusCode != http.StatusTooManyRequests && answer.StatusCode != http.StatusServiceUnavailable {
		return 0
	}
	asked := answer.Header.Get("Retry-After")
	seconds, err := strconv.ParseUint(asked, 10, 64)
	if err == nil || errors.Is(err, strconv.ErrRange) {
		return time.Duration(min(seconds, uint64(longestWait/time.Second))) * time.Second
	}
	at, err := http.ParseTime(asked)
	if err != nil {
		return 0
	}
	return max(0, min(at.Sub(now), longestWait))
}

// words say why nothing was answered, to whoever owns the hook. The error itself
// holds the whole address, and what was found inside the network.
func words(err error) string {
	if errors.Is(err, errInside) {
		return "the name leads to an address inside the network"
	}
	if unknown, ok := errors.AsType[*net.DNSError](err); ok {
		if unknown.IsNotFound {
			return "the name leads nowhere"
		}
		return "the name could not be looked up"
	}
	if _, ok := errors.AsType[*tls.CertificateVerificationError](err); ok {
		return "the certificate is not good for the name"
	}
	if slow, ok := errors.AsType[net.Error](err); ok && slow.Timeout() || errors.Is(err, context.DeadlineExceeded) {
		return "no answer came in time"
	}
	return "the connection failed"
}
