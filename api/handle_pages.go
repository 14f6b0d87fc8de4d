package api

import (
	"context"
	"net/http"
	"sync"

	"foldwright/api/site"
	"foldwright/openapi"
)

// reference is the contract as a page, made once: it is the same in every
// server.
var reference = sync.OnceValues(func() (*site.Page, error) {
	doc, err := openapi.Load()
	if err != nil {
		return nil, err
	}
	return site.Reference(doc)
})

// mediaPage is a page with its encoding, which browsers would guess otherwise.
const mediaPage = MediaHTML + "; charset=utf-8"

func pageAnswer(p *site.Page) *answer {
	a := newAnswer(http.StatusOK, mediaPage, p.HTML).with("Content-Security-Policy", p.Policy)
	if !p.Framed {
		a.with("X-Frame-Options", "DENY") // for browsers that do not know the policy's own word
	}
	return a
}

// GetReference answers GET /docs.
func (s *Server) GetReference(_ context.Context, request GetReferenceRequestObject) (GetReferenceResponseObject, error) {
	return pageAnswer(s.reference).taggedByBody(cacheAskEach, request.Params.IfNoneMatch), nil
}

// GetService answers GET /, as data or as a page.
func (s *Server) GetService(ctx context.Context, _ GetServiceRequestObject) (GetServiceResponseObject, error) {
	x := exchangeOf(ctx)
	if x.media == MediaHTML {
		page, err := s.startPage(x.base)
		if err != nil {
			return nil, err
		}
		return pageAnswer(page).with("Cache-Control", cacheAskEach), nil
	}
	body, err := encode(Service{
		Name:        "foldwright",
		Release:     s.release,
		Description: "Solves paper pop-up mechanisms: post a design, get its motion, its checks, pictures, a model and its cutting patterns.",
		Links: map[string]string{
			"contract":  "/openapi.json",
			"reference": "/docs",
			"examples":  "/v1/examples",
			"kinds":     "/v1/mechanisms",
			"findings":  "/v1/findings",
			"problems":  "/problems",
			"designs":   "/v1/designs",
		},
	})
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusOK, MediaJSON, body).with("Cache-Control", cacheAskEach), nil
}

// frontExample is shown first on the start page.
const frontExample = "harbour"

func (s *Server) startPage(base string) (*site.Page, error) {
	start := site.Start{Release: s.release, Lines: FirstSteps(base, s.keysRequired), Front: frontExample}
	for _, name := range s.examples.names {
		d := s.examples.byName[name].Design
		start.Examples = append(start.Examples, site.Example{Name: name, Title: d.Title, Notes: d.Notes})
	}
	return start.Page()
}

// EmbedVersion answers GET /v1/designs/{id}/versions/{n}/embed.
func (s *Server) EmbedVersion(ctx context.Context, request EmbedVersionRequestObject) (EmbedVersionResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.embed(ctx, doc, request.Params)
}

// EmbedExample answers GET /v1/examples/{name}/embed.
func (s *Server) EmbedExample(ctx context.Context, request EmbedExampleRequestObject) (EmbedExampleResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.embed(ctx, doc, EmbedVersionParams(request.Params))
}

func (s *Server) embed(ctx context.Context, doc *Document, q EmbedVersionParams) (*answer, error) {
	page, err := s.pipeline.Embed(ctx, doc, q.Opening)
	if err != nil {
		return nil, inQuery().fault(err)
	}
	return pageAnswer(page).taggedByBody(cacheAWhile, q.IfNoneMatch), nil
}
