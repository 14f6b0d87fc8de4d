package api

import (
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"foldwright/testdata/designs"

	"github.com/labstack/echo/v4"
)

// bareRounds is how often the two sides of a ratio take turns.
const bareRounds = 9

// BenchmarkAgainstBareEcho is what a request costs beyond an echo handler that
// reads the body and answers the same bytes: a whole server with its contract
// against a route with nothing around it. The two take turns; the figures are
// medians, in µs and as a ratio.
func BenchmarkAgainstBareEcho(b *testing.B) {
	raw, _ := designs.Read("lighthouse")
	for _, row := range []struct{ name, method, path, body string }{
		{"a fixed answer", http.MethodGet, "/v1/examples/lighthouse", ""},
		{"solve one opening", http.MethodPost, "/v1/solve", `{"design":` + string(raw) + `,"openings":[90],"findings":false}`},
		{"refuse an option", http.MethodPost, "/v1/solve", `{"design":` + string(raw) + `,"openings":[900]}`},
	} {
		b.Run(row.name, func(b *testing.B) {
			s := newServer(b)
			send := func(h http.Handler) *httptest.ResponseRecorder {
				r := httptest.NewRequest(row.method, row.path, strings.NewReader(row.body))
				r.Header.Set("Content-Type", MediaJSON)
				w := httptest.NewRecorder()
				h.ServeHTTP(w, r)
				return w
			}
			bare := bareEcho(row.method, row.path, send(s.Handler()))
			var theirs, ours, ratios []float64
			for b.Loop() {
				for range bareRounds {
					t, o := micros(func() { send(bare) }), micros(func() { send(s.Handler()) })
					theirs, ours, ratios = append(theirs, t), append(ours, o), append(ratios, o/t)
				}
			}
			b.ReportMetric(middle(theirs), "µs-bare")
			b.ReportMetric(middle(ours), "µs-whole")
			b.ReportMetric(middle(ratios), "ratio")
		})
	}
}

// bareEcho answers always the same.
func bareEcho(method, path string, answer *httptest.ResponseRecorder) http.Handler {
	e := echo.New()
	body := answer.Body.Bytes()
	e.Add(method, path, func(c echo.Context) error {
		if _, err := io.Copy(io.Discard, c.Request().Body); err != nil {
			return err
		}
		return c.Blob(answer.Code, answer.Header().Get("Content-Type"), body)
	})
	return e
}

// micros is the time of one of many calls, in µs.
func micros(call func()) float64 {
	const calls = 200
	start := time.Now()
	for range calls {
		call()
	}
	return float64(time.Since(start).Microseconds()) / calls
}

func middle(list []float64) float64 {
	list = slices.Sorted(slices.Values(list))
	return list[len(list)/2]
}

// BenchmarkStages is what each stage of the pipeline takes of each example.
func BenchmarkStages(b *testing.B) {
	for _, name := range designs.Names() {
		raw, _ := designs.Read(name)
		doc := exampleDocument(b, name)
		p := &Pipeline{}
		for _, stage := range []struct {
			name string
			do   func() error
		}{
			{"decode", func() error { _, err := readDocument(raw, ""); return err }},
			{"solve", func() error { _, err := p.Solve(b.Context(), doc, SolveOptions{Openings: []float64{90}}); return err }},
			{"check", func() error { _, err := p.Check(b.Context(), doc, CheckOptions{}); return err }},
			{"pattern", func() error { _, err := p.Pattern(b.Context(), doc, PatternOptions{}, MediaSVG); return err }},
			{"view", func() error { _, err := p.View(b.Context(), doc, ViewOptions{}, MediaSVG); return err }},
		} {
			b.Run(name+"/"+stage.name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if err := stage.do(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
