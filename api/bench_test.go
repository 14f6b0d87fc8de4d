package api

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"foldwright/solver/check"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"

	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/sdk/trace/tracetest"
)

// BenchmarkSolveHarbour37 is one POST /v1/solve of the largest example at 37
// openings without findings, through the whole server but the network; its
// stages follow on their own.
func BenchmarkSolveHarbour37(b *testing.B) {
	raw, _ := designs.Read("harbour")
	body := `{"design":` + string(raw) + `,"findings":false}`
	doc := exampleDocument(b, "harbour")
	assembly := kinematics.Compile(doc.Design)

	request := func(b *testing.B, s *Server) {
		b.ReportAllocs()
		for b.Loop() {
			r := httptest.NewRequest(http.MethodPost, "/v1/solve", strings.NewReader(body))
			r.Header.Set("Content-Type", MediaJSON)
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, r)
			if w.Code != http.StatusOK {
				b.Fatal(w.Body)
			}
			b.SetBytes(int64(w.Body.Len()))
		}
	}
	b.Run("request", func(b *testing.B) { request(b, newServer(b)) })
	b.Run("request traced", func(b *testing.B) {
		provider := sdktrace.NewTracerProvider(sdktrace.WithBatcher(tracetest.NewNoopExporter()))
		b.Cleanup(func() { _ = provider.Shutdown(b.Context()) })
		request(b, serverWith(b, Config{Store: newStore(b), Traces: provider}))
	})
	b.Run("envelope", func(b *testing.B) {
		s := newServer(b)
		schema := s.operations.find(http.MethodPost, "/v1/solve").options
		b.ReportAllocs()
		for b.Loop() {
			if err := checkEnvelope([]byte(body), schema); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("decode", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := readDocument(raw, ""); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("compile", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			kinematics.Compile(doc.Design)
		}
	})
	b.Run("pose", func(b *testing.B) {
		p := assembly.NewPose()
		b.ReportAllocs()
		for b.Loop() {
			for i := range 37 {
				assembly.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(float64(5 * i))})
			}
		}
	})
	b.Run("compile+pose+encode", func(b *testing.B) {
		p := &Pipeline{}
		b.ReportAllocs()
		for b.Loop() {
			out, err := p.Solve(b.Context(), doc, SolveOptions{})
			if err != nil {
				b.Fatal(err)
			}
			b.SetBytes(int64(len(out)))
		}
	})
	b.Run("check", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			check.Design(assembly)
		}
	})
}

// What holding a design to the contract's schema would cost; the service leaves
// it to the design package instead.
func BenchmarkSchemaOfHarbour(b *testing.B) {
	schema := designSchema(b)
	value := asValue(b, exampleDocument(b, "harbour").Raw)
	b.ReportAllocs()
	for b.Loop() {
		if err := schema.VisitJSON(value); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkViewsOfHarbour is what is drawn and made of the largest example, as
// the pipeline answers it.
func BenchmarkViewsOfHarbour(b *testing.B) {
	doc := exampleDocument(b, "harbour")
	p := &Pipeline{}
	for _, row := range []struct {
		name string
		make func() ([]byte, error)
	}{
		{"view.svg", func() ([]byte, error) { return p.View(b.Context(), doc, ViewOptions{}, MediaSVG) }},
		{"view.png", func() ([]byte, error) { return p.View(b.Context(), doc, ViewOptions{}, MediaPNG) }},
		{"moving.svg", func() ([]byte, error) { return p.View(b.Context(), doc, ViewOptions{Animated: true}, MediaSVG) }},
		{"curves.json", func() ([]byte, error) { return p.Curves(b.Context(), doc, CurvesOptions{}, MediaJSON) }},
		{"curves.svg", func() ([]byte, error) { return p.Curves(b.Context(), doc, CurvesOptions{}, MediaSVG) }},
		{"curves.png", func() ([]byte, error) { return p.Curves(b.Context(), doc, CurvesOptions{}, MediaPNG) }},
		{"model.glb", func() ([]byte, error) { return p.Model(b.Context(), doc, ModelOptions{}) }},
		{"embed.html", func() ([]byte, error) {
			page, err := p.Embed(b.Context(), doc, nil)
			if err != nil {
				return nil, err
			}
			return page.HTML, nil
		}},
	} {
		b.Run(row.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				body, err := row.make()
				if err != nil {
					b.Fatal(err)
				}
				b.SetBytes(int64(len(body)))
			}
		})
	}
}

// BenchmarkLayoutOfHarbour is twenty copies of the largest example on A3 and on
// a bed of 300 by 300 mm, its eight mechanisms and the page, through the pipeline.
func BenchmarkLayoutOfHarbour(b *testing.B) {
	doc := exampleDocument(b, "harbour")
	copies, limit := 20, 15.0
	for _, row := range []struct {
		name, media string
		bed         *LayoutBed
	}{
		{"A3.json", MediaJSON, nil}, {"A3.pdf", MediaPDF, nil}, {"bed.json", MediaJSON, &LayoutBed{Width: 300, Height: 300}},
	} {
		b.Run(row.name, func(b *testing.B) {
			p := &Pipeline{}
			b.ReportAllocs()
			for b.Loop() {
				body, err := p.Layout(b.Context(), doc, &LayoutRequest{Copies: &copies, TimeLimit: &limit, Bed: row.bed}, row.media)
				if err != nil {
					b.Fatal(err)
				}
				b.SetBytes(int64(len(body)))
			}
		})
	}
}

// BenchmarkLargest is what takes the most memory of what is asked of designs
// with as many mechanisms as there may be: B/op is what passes through it.
func BenchmarkLargest(b *testing.B) {
	boxes := 200
	if testing.Short() {
		boxes = 20
	}
	doc, err := readDocument([]byte(crates(boxes)), "")
	if err != nil {
		b.Fatal(err)
	}
	p, copies, effort, limit := &Pipeline{}, 10, 1, 15.0
	for _, row := range []struct {
		name string
		make func() ([]byte, error)
	}{
		{"guide.pdf", func() ([]byte, error) { return p.Guide(b.Context(), doc, GuideOptions{}, MediaPDF) }},
		{"guide.html", func() ([]byte, error) { return p.Guide(b.Context(), doc, GuideOptions{}, MediaHTML) }},
		{"sheets.pdf", func() ([]byte, error) {
			return p.Layout(b.Context(), doc, &LayoutRequest{Copies: &copies, Effort: &effort, TimeLimit: &limit}, MediaPDF)
		}},
	} {
		b.Run(row.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				body, err := row.make()
				if err != nil {
					b.Fatal(err)
				}
				b.SetBytes(int64(len(body)))
			}
		})
	}
}
