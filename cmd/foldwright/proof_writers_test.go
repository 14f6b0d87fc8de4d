//go:build linux

package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gowebpki/jcs"
)

// ledger is what writers were told, kept apart from the service: what it holds
// the service must show.
type ledger struct {
	t       *testing.T
	url     atomic.Pointer[string]
	writers []*writer
	// refusals is how the service answers while its database is away.
	refusals atomic.Int64
	acked    atomic.Int64
	slowest  atomic.Int64 // answer to a change, nanoseconds
	repeated atomic.Int64 // changes sent again because their outcome was not known
	replayed atomic.Int64 // and answered as made before
}

// writer changes designs of its own, one after the other.
type writer struct {
	*ledger
	name    string
	random  *rand.Rand
	designs []*kept
	jobs    []string
	made    int     // changes asked for
	pending *change // the one whose outcome is not known
}

// kept is a design as its writer knows it.
type kept struct {
	id      string
	hashes  []string // of its versions, as the service gives them
	bytes   []string // of their documents; "" while they are not known, after a patch
	deleted bool
}

// change is a request that changes something, and what it then is.
type change struct {
	method, path, key string
	header            map[string]string
	body              string
	of                *kept
	hash              string // of the version it makes, and of its bytes; known before for a whole document
	bytes             string
	accepted          []int
	done              func(body []byte)
}

// newLedger is that of some writers, who draw the same changes in each run.
func newLedger(t *testing.T, writers int) *ledger {
	l := &ledger{t: t}
	for i := range writers {
		l.writers = append(l.writers, &writer{ledger: l, name: fmt.Sprint("keeper-", i), random: rand.New(rand.NewPCG(uint64(i), 7))})
	}
	return l
}

// during lets the writers work while something is done, and returns when each
// has the answer to its last change or knows that it has none. patient writers
// repeat a change until it is answered.
func (l *ledger) during(url string, patient bool, do func()) {
	l.url.Store(&url)
	ctx, stop := context.WithCancel(context.Background())
	var all sync.WaitGroup
	for _, w := range l.writers {
		all.Go(func() { w.work(ctx, patient) })
	}
	do()
	stop()
	all.Wait()
}

func (w *writer) work(ctx context.Context, patient bool) {
	for ctx.Err() == nil || patient && w.pending != nil {
		if w.t.Failed() {
			return
		}
		if w.pending == nil {
			w.pending = w.next()
		} else {
			w.repeated.Add(1)
		}
		if w.try(w.pending) {
			w.pending = nil
			w.acked.Add(1)
			continue
		}
		if !patient {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// next draws a change.
func (w *writer) next() *change {
	w.made++
	key := fmt.Sprintf("%s-%d", w.name, w.made)
	live, gone := w.some(false), w.some(true)
	switch roll := w.random.IntN(20); {
	case live == nil || roll < 2 && len(w.designs) < 30:
		return w.create(key)
	case roll < 9:
		doc := w.document()
		return w.versioned("PUT", key, live, "application/json", doc, canonical(w.t, doc), hashed(doc))
	case roll < 15:
		return w.versioned("PATCH", key, live, "application/merge-patch+json",
			fmt.Sprintf(`{"spread":{"margin":%d.%d}}`, w.random.IntN(9), w.made), "", "")
	case roll < 17:
		return &change{method: "DELETE", path: "/v1/designs/" + live.id, of: live, accepted: []int{200, 410},
			done: func([]byte) { live.deleted = true }}
	case roll < 19 && gone != nil:
		return &change{method: "POST", path: "/v1/designs/" + gone.id + "/restore", of: gone, accepted: []int{200},
			done: func([]byte) { gone.deleted = false }}
	default:
		return &change{
			method: "POST", path: "/v1/jobs", key: key, accepted: []int{202},
			header: map[string]string{"Content-Type": "application/json"},
			body: fmt.Sprintf(`{"operation":"vary","request":{"design":%s,"axes":[{"pointer":"/mechanisms/0/left/panel_width","from":30,"to":40,"steps":2}]}}`,
				w.document()),
			done: func(body []byte) {
				var job struct{ ID string }
				if json.Unmarshal(body, &job) != nil || job.ID == "" {
					w.t.Errorf("a job is answered with %s", body)
				}
				w.jobs = append(w.jobs, job.ID)
			},
		}
	}
}

// some is one of the designs, in use or deleted.
func (w *writer) some(deleted bool) *kept {
	var list []*kept
	for _, d := range w.designs {
		if d.deleted == deleted {
			list = append(list, d)
		}
	}
	if len(list) == 0 {
		return nil
	}
	return list[w.random.IntN(len(list))]
}

// document is a design unlike any other, now and then a long one.
func (w *writer) document() string {
	blanks := ""
	if w.random.IntN(8) == 0 {
		blanks = strings.Repeat(" ", w.random.IntN(100_000))
	}
	return fmt.Sprintf(`{"title": "%s %d", "spread": {"page_width": 120, "page_height": 160}, %s"mechanisms": [{"id": "jetty", "kind": "parallel_fold",`+
		` "on": {"fold": "gutter"}, "from": 20, "to": 70, "left": {"base_offset": 30, "panel_width": 35}}]}`, w.name, w.made, blanks)
}

func (w *writer) create(key string) *change {
	doc := w.document()
	c := &change{method: "POST", path: "/v1/designs", key: key, body: doc, hash: canonical(w.t, doc), bytes: hashed(doc), accepted: []int{201},
		header: map[string]string{"Content-Type": "application/json"}}
	c.done = func(body []byte) {
		made := w.record(c, body, 1)
		w.designs = append(w.designs, &kept{id: made.ID, hashes: []string{made.Hash}, bytes: []string{c.bytes}})
	}
	return c
}

// versioned makes the version after the newest a writer knows.
func (w *writer) versioned(method, key string, d *kept, media, body, hash, bytes string) *change {
	c := &change{method: method, path: "/v1/designs/" + d.id, key: key, body: body, hash: hash, bytes: bytes, of: d, accepted: []int{200},
		header: map[string]string{"Content-Type": media, "If-Match": d.tag()}}
	c.done = func(answered []byte) {
		made := w.record(c, answered, len(d.hashes)+1)
		d.hashes, d.bytes = append(d.hashes, made.Hash), append(d.bytes, c.bytes)
	}
	return c
}

type record struct {
	ID      string
	Version int
	Hash    string `json:"design_hash"`
}

// record reads the answer to a change and holds it to what was asked.
func (w *writer) record(c *change, body []byte, version int) (r record) {
	if err := json.Unmarshal(body, &r); err != nil {
		w.t.Errorf("%s %s: %v: %s", c.method, c.path, err, body)
	}
	if r.Version != version || c.hash != "" && r.Hash != c.hash {
		w.t.Errorf("%s %s makes version %d with %s, want %d with %q", c.method, c.path, r.Version, r.Hash, version, c.hash)
	}
	return r
}

func (d *kept) tag() string {
	n := len(d.hashes)
	return fmt.Sprintf(`"%d-%s"`, n, strings.TrimPrefix(d.hashes[n-1], "sha256:")[:16])
}

// holds tells whether a document is that of a version, and keeps it for the
// next time if it was not known.
func (d *kept) holds(t *testing.T, version int, doc []byte) bool {
	t.Helper()
	if d.bytes[version-1] == "" {
		d.bytes[version-1] = hashed(string(doc))
	}
	return d.bytes[version-1] == hashed(string(doc)) && d.hashes[version-1] == canonical(t, string(doc))
}

// canonical is the hash of a document that the service is to give: of its
// canonical form (RFC 8785).
func canonical(t *testing.T, doc string) string {
	t.Helper()
	form, err := jcs.Transform([]byte(doc))
	if err != nil {
		t.Errorf("%v: %.100s", err, doc)
	}
	return hashed(string(form))
}

func hashed(doc string) string {
	sum := sha256.Sum256([]byte(doc))
	return "sha256:" + hex.EncodeToString(sum[:])
}

// proofClient gives up long after the service should have answered.
var proofClient = &http.Client{Timeout: 60 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 64, DisableCompression: true}}

// try sends a change and tells whether it was answered. Anything but the answer
// to it, the service's word that it cannot now, or silence, is a failure.
func (w *writer) try(c *change) bool {
	start := time.Now()
	answer, body, err := w.send(c.method, c.path, c.body, c.header, c.key)
	for took := int64(time.Since(start)); ; {
		if was := w.slowest.Load(); took <= was || w.slowest.CompareAndSwap(was, took) {
			break
		}
	}
	if err != nil {
		return false
	}
	if slices.Contains(c.accepted, answer.StatusCode) {
		if answer.Header.Get("Idempotency-Replayed") != "" {
			w.replayed.Add(1)
		}
		c.done(body)
		return true
	}
	if !refusal(answer) {
		w.t.Errorf("%s %s with key %q: %d %s", c.method, c.path, c.key, answer.StatusCode, body)
	}
	w.refusals.Add(1)
	return false
}

// refusal tells whether an answer says that the service cannot now, in the
// form that the contract gives it.
func refusal(answer *reply) bool {
	return (answer.StatusCode == http.StatusServiceUnavailable || answer.StatusCode == http.StatusInsufficientStorage) &&
		answer.Header.Get("Content-Type") == "application/problem+json" && answer.Header.Get("Retry-After") != ""
}

// reply is what stands before the body of an answer.
type reply struct {
	StatusCode int
	Header     http.Header
}

func (l *ledger) send(method, path, body string, header map[string]string, key string) (*reply, []byte, error) {
	return sendTo(*l.url.Load(), method, path, body, header, key)
}

func sendTo(url, method, path, body string, header map[string]string, key string) (*reply, []byte, error) {
	r, err := http.NewRequestWithContext(context.Background(), method, url+path, bytes.NewReader([]byte(body)))
	if err != nil {
		return nil, nil, err
	}
	for name, value := range header {
		r.Header.Set(name, value)
	}
	if key != "" {
		r.Header.Set("Idempotency-Key", key)
	}
	answer, err := proofClient.Do(r)
	if err != nil {
		return nil, nil, err
	}
	defer answer.Body.Close()
	read, err := io.ReadAll(answer.Body)
	return &reply{answer.StatusCode, answer.Header}, read, err
}
