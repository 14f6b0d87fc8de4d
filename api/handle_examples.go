package api

import (
	"context"
	"fmt"
	"net/http"

	"foldwright/testdata/designs"
)

// examples are the designs that come with the service, by name.
type examples struct {
	names  []string
	byName map[string]*Document
}

func loadExamples() (*examples, error) {
	e := &examples{names: designs.Names(), byName: map[string]*Document{}}
	for _, name := range e.names {
		raw, _ := designs.Read(name)
		doc, err := readDocument(raw, "")
		if err != nil {
			return nil, fmt.Errorf("api: example %s: %w", name, err)
		}
		e.byName[name] = doc
	}
	return e, nil
}

func (e *examples) find(name string) (*Document, error) {
	if doc, ok := e.byName[name]; ok {
		return doc, nil
	}
	return nil, &fault{kind: notFound, detail: "there is no such example; GET /v1/examples lists them"}
}

// ListExamples answers GET /v1/examples.
func (s *Server) ListExamples(context.Context, ListExamplesRequestObject) (ListExamplesResponseObject, error) {
	list := []ExampleInfo{}
	for _, name := range s.examples.names {
		d := s.examples.byName[name].Design
		list = append(list, ExampleInfo{
			Name: name, Title: d.Title, Notes: d.Notes, Mechanisms: len(d.Mechanisms), Href: "/v1/examples/" + name,
		})
	}
	return ListExamples200JSONResponse{Examples: list}, nil
}

// GetExample answers GET /v1/examples/{name}.
func (s *Server) GetExample(_ context.Context, request GetExampleRequestObject) (GetExampleResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, MediaJSON, doc.Raw).taggedByBody(cacheAWhile, request.Params.IfNoneMatch), nil
}

// SolveExample answers GET /v1/examples/{name}/solve.
func (s *Server) SolveExample(ctx context.Context, request SolveExampleRequestObject) (SolveExampleResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.querySolve(ctx, doc, SolveVersionParams(request.Params))
}

// CheckExample answers GET /v1/examples/{name}/check.
func (s *Server) CheckExample(ctx context.Context, request CheckExampleRequestObject) (CheckExampleResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.kept(s.report(ctx, doc, CheckOptions{ThicknessMap: orFalse(request.Params.ThicknessMap)}))(request.Params.IfNoneMatch)
}

// PatternExample answers GET /v1/examples/{name}/pattern.
func (s *Server) PatternExample(ctx context.Context, request PatternExampleRequestObject) (PatternExampleResponseObject, error) {
	return s.examplePattern(ctx, request.Name, exchangeOf(ctx).media, request.Params)
}

// PatternExampleJson answers GET /v1/examples/{name}/pattern.json.
func (s *Server) PatternExampleJson(ctx context.Context, request PatternExampleJsonRequestObject) (PatternExampleJsonResponseObject, error) {
	return s.asFile(request.Name, patternFile)(s.examplePattern(ctx, request.Name, MediaJSON, PatternExampleParams(request.Params)))
}

// PatternExampleSvg answers GET /v1/examples/{name}/pattern.svg.
func (s *Server) PatternExampleSvg(ctx context.Context, request PatternExampleSvgRequestObject) (PatternExampleSvgResponseObject, error) {
	return s.asFile(request.Name, patternFile)(s.examplePattern(ctx, request.Name, MediaSVG, PatternExampleParams(request.Params)))
}

// PatternExampleDxf answers GET /v1/examples/{name}/pattern.dxf.
func (s *Server) PatternExampleDxf(ctx context.Context, request PatternExampleDxfRequestObject) (PatternExampleDxfResponseObject, error) {
	return s.asFile(request.Name, patternFile)(s.examplePattern(ctx, request.Name, MediaDXF, PatternExampleParams(request.Params)))
}

// PatternExamplePdf answers GET /v1/examples/{name}/pattern.pdf.
func (s *Server) PatternExamplePdf(ctx context.Context, request PatternExamplePdfRequestObject) (PatternExamplePdfResponseObject, error) {
	return s.asFile(request.Name, patternFile)(s.examplePattern(ctx, request.Name, MediaPDF, PatternExampleParams(request.Params)))
}

func (s *Server) examplePattern(ctx context.Context, name, media string, q PatternExampleParams) (*answer, error) {
	doc, err := s.examples.find(name)
	if err != nil {
		return nil, err
	}
	return s.kept(s.patternIn(ctx, media, doc, queryPattern((*PatternVersionParams)(&q)), inQuery()))(q.IfNoneMatch)
}
