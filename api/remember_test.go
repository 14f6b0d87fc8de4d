package api

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"net/http"
	"net/http/httptest"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"

	"foldwright/storage"
	"foldwright/storage/access"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil"
)

const exampleView = "/v1/examples/lighthouse/view.svg?opening=90"

func remembering(t *testing.T, bytes int) *Server {
	t.Helper()
	return serverWith(t, Config{Store: newStore(t), CacheBytes: bytes})
}

func (s *Server) rememberedAnswers(outcome string) float64 {
	return testutil.ToFloat64(s.metrics.remembered.WithLabelValues(outcome))
}

// An answer out of memory is the one that was worked out, header and all.
func TestRememberedAnswersAreTheSame(t *testing.T) {
	for _, path := range []string{
		exampleView, "/v1/examples/lighthouse/solve?openings=0,90", "/v1/examples/lighthouse/check",
		"/v1/examples/lighthouse/pattern.pdf", "/v1/examples/lighthouse/guide.html", "/v1/examples/lighthouse/embed",
		"/v1/examples/lighthouse/model.glb", "/v1/examples/lighthouse/curves.csv",
	} {
		s := remembering(t, 64<<20)
		first := serve(s, http.MethodGet, path)
		again := serve(s, http.MethodGet, path)
		plain := serve(newServer(t), http.MethodGet, path)
		if s.rememberedAnswers(remembersIt) != 1 || s.rememberedAnswers(worksItOut) != 1 {
			t.Errorf("%s: %v found, %v worked out", path, s.rememberedAnswers(remembersIt), s.rememberedAnswers(worksItOut))
		}
		for _, w := range []*httptest.ResponseRecorder{first, again} {
			w.Header().Set(requestIDHeader, plain.Header().Get(requestIDHeader))
			if w.Code != http.StatusOK || w.Body.String() != plain.Body.String() || fmt.Sprint(w.Header()) != fmt.Sprint(plain.Header()) {
				t.Errorf("%s: %d %v, want %v", path, w.Code, w.Header(), plain.Header())
			}
		}
	}
}

// A client that holds the answer is told so, and the answer is kept whole for
// others all the same.
func TestRememberedAnswersAreConditional(t *testing.T) {
	s := remembering(t, 1<<20)
	tag := serve(newServer(t), http.MethodGet, exampleView).Header().Get("ETag")
	for range 2 {
		r := httptest.NewRequest(http.MethodGet, exampleView, nil)
		r.Header.Set("If-None-Match", tag)
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		if w.Code != http.StatusNotModified || w.Body.Len() > 0 || w.Header().Get("ETag") != tag {
			t.Errorf("%d %s", w.Code, w.Header().Get("ETag"))
		}
	}
	if w := serve(s, http.MethodGet, exampleView); w.Code != http.StatusOK || w.Body.Len() == 0 || s.rememberedAnswers(remembersIt) != 2 {
		t.Errorf("%d, %d bytes, found %v times", w.Code, w.Body.Len(), s.rememberedAnswers(remembersIt))
	}
}

// What is remembered of a stored version is shown only to who may see it: not
// to another workspace, and to nobody once the design is deleted.
func TestRememberedAnswersAskForAccessEachTime(t *testing.T) {
	store := newStore(t)
	s := serverWith(t, Config{Store: store, CacheBytes: 1 << 20})
	local := store.In(access.Local)
	doc := exampleDocument(t, "lighthouse")
	d, _, _, err := local.Create(t.Context(), storage.NewVersion{Title: "Lighthouse", Document: doc.Raw, Hash: doc.Hash}, storage.IdempotencyKey{})
	if err != nil {
		t.Fatal(err)
	}
	path := "/v1/designs/" + d.ID + "/versions/1/view.svg"
	secret := access.NewSecret(access.KeySecret)
	if _, err := store.In("mill").AddKey(t.Context(), storage.NewKey{Scope: access.Read, Hash: access.Hash(secret)}); err != nil {
		t.Fatal(err)
	}
	ask := func(key string) int {
		r := httptest.NewRequest(http.MethodGet, "http://127.0.0.1"+path, nil)
		r.RemoteAddr = "127.0.0.1:4000"
		if key != "" {
			r.Header.Set("Authorization", "Bearer "+key)
		}
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		return w.Code
	}
	if a, b := ask(""), ask(""); a != http.StatusOK || b != http.StatusOK || s.rememberedAnswers(remembersIt) != 1 {
		t.Fatalf("%d %d, found %v", a, b, s.rememberedAnswers(remembersIt))
	}
	if got := ask(secret); got != http.StatusNotFound {
		t.Errorf("another workspace gets %d", got)
	}
	if err := local.Delete(t.Context(), d.ID, 0); err != nil {
		t.Fatal(err)
	}
	if got := ask(""); got != http.StatusGone {
		t.Errorf("of a deleted design: %d", got)
	}
}

// A version is read once for each request, whether its answer is there or not.
func TestAVersionIsReadOnce(t *testing.T) {
	s := remembering(t, 1<<20)
	doc := exampleDocument(t, "lighthouse")
	d, _, _, err := s.database.In(access.Local).Create(t.Context(), storage.NewVersion{Title: "Lighthouse", Document: doc.Raw, Hash: doc.Hash}, storage.IdempotencyKey{})
	if err != nil {
		t.Fatal(err)
	}
	for i, path := range []string{"view.svg", "view.svg", "check", "pattern.pdf", "guide.html", "embed", "solve?openings=0,90"} {
		if w := get(t, s, "/v1/designs/"+d.ID+"/versions/1/"+path); w.Code != http.StatusOK {
			t.Fatalf("%s: %d %s", path, w.Code, w.Body)
		}
		if said, want := get(t, s, "/metrics").Body.String(), fmt.Sprintf(`foldwright_storage_call_duration_seconds_count{call="Version"} %d`, i+1); !strings.Contains(said, want+"\n") {
			t.Errorf("%s: the metrics do not say %s", path, want)
		}
	}
}

// Those who ask the same at once have it worked out once, though there are
// places for all.
func TestTheSameIsWorkedOutOnce(t *testing.T) {
	const callers = 8
	s := serverWith(t, Config{Store: newStore(t), CacheBytes: 1 << 20, Concurrency: callers + 1})
	var all sync.WaitGroup
	for range callers {
		all.Go(func() {
			w := httptest.NewRecorder()
			r := httptest.NewRequest(http.MethodPost, "/v1/check", strings.NewReader(`{"example":"generations"}`))
			r.Header.Set("Content-Type", MediaJSON)
			s.Handler().ServeHTTP(w, r)
			if w.Code != http.StatusOK {
				t.Error(w.Code, w.Body)
			}
		})
	}
	all.Wait()
	if s.rememberedAnswers(worksItOut) != 1 || s.rememberedAnswers(remembersIt) != callers-1 {
		t.Errorf("worked out %v times, found %v", s.rememberedAnswers(worksItOut), s.rememberedAnswers(remembersIt))
	}
}

// Refusals are not kept, nor is who waited for one left without an answer.
func TestRefusalsAreNotRemembered(t *testing.T) {
	s := remembering(t, 1<<20)
	for range 2 {
		if w := serve(s, http.MethodGet, "/v1/examples/lighthouse/solve?openings=900"); w.Code == http.StatusOK {
			t.Fatal(w.Code)
		}
		if w := serve(s, http.MethodGet, "/v1/examples/pelican/view.svg"); w.Code != http.StatusNotFound {
			t.Fatal(w.Code)
		}
	}
	if s.rememberedAnswers(remembersIt) != 0 || s.memory.bytes() != 0 {
		t.Errorf("found %v, %v bytes", s.rememberedAnswers(remembersIt), s.memory.bytes())
	}
}

// Small answers take no more than they are counted as, with their headers and
// their places in lists. (They may seem to take less: what other tests have left
// is freed meanwhile.)
func TestMemoryCountsWhatItTakes(t *testing.T) {
	heap := func() float64 {
		runtime.GC()
		runtime.GC() // what pools had kept
		var now runtime.MemStats
		runtime.ReadMemStats(&now)
		return float64(now.HeapAlloc)
	}
	m := newMemory(64<<20, prometheus.NewCounterVec(prometheus.CounterOpts{Name: "asked"}, []string{"outcome"}))
	before := heap()
	for i := range 10_000 {
		name := strconv.Itoa(i)
		m.keep(sha256.Sum256([]byte(name)), newAnswer(http.StatusOK, MediaJSON, bytes.Repeat([]byte("a"), 200)).
			with("Content-Disposition", "inline; filename="+name).with("Vary", "Accept").
			tagged(hashTag(hashOf([]byte(name))), cacheAWhile, nil))
	}
	took, counted := heap()-before, m.bytes()
	t.Logf("%.0f bytes each, counted as %.0f", took/float64(m.kept.Len()), counted/float64(m.kept.Len()))
	if m.kept.Len() != 10_000 || took > 1.1*counted {
		t.Errorf("%d answers take %.0f bytes, counted as %.0f", m.kept.Len(), took, counted)
	}
}

// The memory holds what it may, and forgets what was not asked for longest.
func TestMemoryIsBounded(t *testing.T) {
	const most = 20 * answerOverhead
	m := newMemory(most, prometheus.NewCounterVec(prometheus.CounterOpts{Name: "asked"}, []string{"outcome"}))
	key := func(i int) answerKey { return answerKey{byte(i)} }
	for i := range 100 {
		m.keep(key(i), newAnswer(http.StatusOK, MediaJSON, make([]byte, answerOverhead)))
		m.find(key(0))
		if held := m.bytes(); held > most {
			t.Fatalf("holds %v of %d", held, most)
		}
	}
	if m.find(key(0)) == nil || m.find(key(99)) == nil || m.find(key(50)) != nil || m.kept.Len() != 10 {
		t.Errorf("%d kept", m.kept.Len())
	}
	m.keep(key(101), newAnswer(http.StatusOK, MediaJSON, make([]byte, most/2)))
	if m.find(key(101)) != nil {
		t.Error("one answer may take half of it")
	}
}
