package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"slices"
	"strconv"
	"sync"

	"foldwright/testdata/designs"

	vegeta "github.com/tsenart/vegeta/v12/lib"
)

// kind is one sort of request: how many there are of it among a hundred, and
// how one is made.
type kind struct {
	name  string
	share int
	make  func(m *mix, t *vegeta.Target)
}

// kinds is what a workshop's website asks: visitors who size a card and look
// at it, readers whose browsers hold what they ask for again, and some who
// store. Designs that are posted differ from one request to the next.
var kinds = []kind{
	{"solve", 12, func(m *mix, t *vegeta.Target) {
		m.post(t, "/v1/solve", `{"design":%s,"openings":[0,45,90,135,180],"findings":false}`)
	}},
	{"check", 6, func(m *mix, t *vegeta.Target) { m.post(t, "/v1/check", `{"design":%s}`) }},
	{"pattern", 4, func(m *mix, t *vegeta.Target) {
		m.post(t, "/v1/pattern", `{"design":%s}`)
		t.Header.Set("Accept", "image/svg+xml")
	}},
	{"view of version", 12, func(m *mix, t *vegeta.Target) { m.get(t, m.version()+"/view.svg?opening="+m.opening()) }},
	{"pattern of version", 4, func(m *mix, t *vegeta.Target) { m.get(t, m.version()+"/pattern.svg") }},
	{"version", 12, func(m *mix, t *vegeta.Target) { m.get(t, m.version()) }},
	{"version held", 18, func(m *mix, t *vegeta.Target) {
		d := m.one()
		m.get(t, d.path+"/versions/1")
		t.Header.Set("If-None-Match", d.tag)
	}},
	{"design", 8, func(m *mix, t *vegeta.Target) { m.get(t, m.one().path) }},
	{"list", 6, func(m *mix, t *vegeta.Target) { m.get(t, "/v1/designs?limit=20") }},
	{"create", 3, func(m *mix, t *vegeta.Target) { m.store(t, http.MethodPost, "/v1/designs") }},
	{"replace", 5, func(m *mix, t *vegeta.Target) {
		m.store(t, http.MethodPut, m.one().path)
		t.Header.Set("If-Match", "*")
	}},
	{"catalogue", 10, func(m *mix, t *vegeta.Target) {
		m.get(t, []string{"/v1/mechanisms", "/v1/findings", "/v1/examples"}[m.rng.IntN(3)])
	}},
}

// mix makes requests in an order that its seed decides.
type mix struct {
	*service
	mu     sync.Mutex
	rng    *rand.Rand
	made   int
	stored []storedDesign
	bodies []string // designs, with a gap for a title of their own
}

type storedDesign struct{ path, tag string }

// newMix stores designs to read.
func newMix(ctx context.Context, s *service, n int, seed uint64) (*mix, error) {
	m := &mix{service: s, rng: rand.New(rand.NewPCG(seed, 0))}
	for _, name := range designs.Names() {
		raw, _ := designs.Read(name)
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(raw, &fields); err != nil {
			return nil, err
		}
		delete(fields, "title")
		rest, err := json.Marshal(fields)
		if err != nil {
			return nil, err
		}
		m.bodies = append(m.bodies, `{"title":"`+name+` %d",`+string(rest[1:]))
	}
	for range n {
		made, _, err := s.ask(ctx, http.MethodPost, "/v1/designs", []byte(m.design()))
		if err != nil {
			return nil, errors.Join(err, m.clear(ctx))
		}
		path := made.Get("Location")
		first, _, err := s.ask(ctx, http.MethodGet, path+"/versions/1", nil)
		if err != nil {
			return nil, errors.Join(err, m.clear(ctx))
		}
		m.stored = append(m.stored, storedDesign{path, first.Get("ETag")})
	}
	return m, nil
}

// clear deletes the designs stored before. Those that the load made stay.
func (m *mix) clear(ctx context.Context) error {
	for _, d := range m.stored {
		if _, _, err := m.ask(ctx, http.MethodDelete, d.path, nil); err != nil {
			return err
		}
	}
	return nil
}

// next fills a target. The request's id tells its kind, since the service gives
// it back.
func (m *mix) next(t *vegeta.Target) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.made++
	k := m.pick()
	t.Header = m.header()
	kinds[k].make(m, t)
	t.Header.Set("X-Request-Id", fmt.Sprintf("load-%d-%d", k, m.made))
	return nil
}

func (m *mix) pick() int {
	total := 0
	for _, k := range kinds {
		total += k.share
	}
	at := m.rng.IntN(total)
	return slices.IndexFunc(kinds, func(k kind) bool { at -= k.share; return at < 0 })
}

func (m *mix) one() storedDesign { return m.stored[m.rng.IntN(len(m.stored))] }
func (m *mix) version() string   { return m.one().path + "/versions/1" }
func (m *mix) opening() string   { return strconv.Itoa(15 * (1 + m.rng.IntN(12))) }

// design is an example that nobody has sent before.
func (m *mix) design() string {
	m.made++
	return fmt.Sprintf(m.bodies[m.rng.IntN(len(m.bodies))], m.made)
}

func (m *mix) get(t *vegeta.Target, path string) {
	t.Method, t.URL, t.Body = http.MethodGet, m.url+path, nil
	t.Header.Set("Accept-Encoding", "gzip")
}

func (m *mix) post(t *vegeta.Target, path, envelope string) {
	t.Method, t.URL, t.Body = http.MethodPost, m.url+path, fmt.Appendf(nil, envelope, m.design())
	t.Header.Set("Content-Type", "application/json")
	t.Header.Set("Accept-Encoding", "gzip")
}

func (m *mix) store(t *vegeta.Target, method, path string) {
	t.Method, t.URL, t.Body = method, m.url+path, []byte(m.design())
	t.Header.Set("Content-Type", "application/json")
}
