package client_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"net/http"
	"path"
	"slices"
	"testing"

	"foldwright/openapi/client"
	"foldwright/storage/access"
)

// jetty is a tent whose right side is wider than the left by some mm: it shuts
// only when that is nothing.
func jetty(t *testing.T, wider float64) *client.Design {
	t.Helper()
	var tent client.Mechanism
	if err := tent.FromParallelFold(client.ParallelFold{
		Id: "jetty", On: client.OnFold{Fold: "gutter"}, From: 20, To: 70,
		Left:  client.ParallelFoldSide{BaseOffset: 30, PanelWidth: 50},
		Right: &client.ParallelFoldSide{BaseOffset: 30, PanelWidth: 50 + wider},
	}); err != nil {
		t.Fatal(err)
	}
	return &client.Design{
		Title: new("Jetty"), Spread: client.Spread{PageWidth: 120, PageHeight: 160},
		Mechanisms: &[]client.Mechanism{tent},
	}
}

func problem(t *testing.T, err error, status int) *client.Problem {
	t.Helper()
	p, ok := errors.AsType[*client.Problem](err)
	if !ok {
		t.Fatalf("%v is no problem", err)
	}
	if p.Status != status {
		t.Fatalf("problem %v, want status %d", p, status)
	}
	return p
}

func TestWorkOnPostedDesigns(t *testing.T) {
	s := newService(t)
	c, ctx := s.client(t, s.keys[access.Write]), t.Context()

	health, err := c.GetHealthWithResponse(ctx)
	if err != nil || health.StatusCode() != http.StatusOK {
		t.Fatalf("health: %v %v", health, err)
	}

	solved, err := c.SolveWithResponse(ctx, client.SolveRequest{Design: jetty(t, 0), Openings: &[]float64{0, 180}})
	if err != nil {
		t.Fatal(err)
	}
	// Open flat, the ridge of a tent with sides of 50 mm that stand 30 mm from
	// the gutter is at sqrt(50² - 30²) = 40 mm.
	if got := solved.JSON200.Poses[1].Height; math.Abs(got-40) > 1e-3 {
		t.Errorf("the jetty is %v high, want 40 mm", got)
	}

	checked, err := c.CheckWithResponse(ctx, client.CheckRequest{Design: jetty(t, 5)})
	if err != nil {
		t.Fatal(err)
	}
	if r := checked.JSON200; r.Verdict != client.VerdictErrors || len(r.Findings) == 0 || r.Findings[0].Code != "cannot_shut" || r.Findings[0].Remedy == nil {
		t.Errorf("a crushed jetty: %+v", r)
	}

	for media, begins := range map[string]string{"image/svg+xml": "<?xml", "image/vnd.dxf": "0\nSECTION", "application/pdf": "%PDF-"} {
		drawn, err := c.MakePatternWithResponse(ctx, client.PatternRequest{Design: jetty(t, 0)}, client.Accept(media))
		if err != nil {
			t.Fatal(err)
		}
		if drawn.HTTPResponse.Header.Get("Content-Type") == "" || !bytes.HasPrefix(bytes.ReplaceAll(drawn.Body, []byte("\r\n"), []byte("\n")), []byte(begins)) {
			t.Errorf("%s begins with %.20q", media, drawn.Body)
		}
	}
	parts, err := c.MakePatternWithResponse(ctx, client.PatternRequest{Design: jetty(t, 0)})
	if err != nil || len(parts.JSON200.Parts) < 2 {
		t.Errorf("parts: %v %v", parts, err)
	}

	wrong := jetty(t, 0)
	wrong.Spread.PageWidth = -120
	_, err = c.CheckWithResponse(ctx, client.CheckRequest{Design: wrong})
	p := problem(t, err, http.StatusUnprocessableEntity)
	if p.Errors == nil || (*p.Errors)[0].Pointer != "/design/spread/page_width" {
		t.Errorf("the problem points at %v", p.Errors)
	}
}

// What is sent in typed form comes back in it, whatever the kind.
func TestMechanismsAreTyped(t *testing.T) {
	s := newService(t)
	c, ctx := s.client(t, ""), t.Context()
	kinds, err := c.ListMechanismsWithResponse(ctx)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	examples, err := c.ListExamplesWithResponse(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range examples.JSON200.Examples {
		example, err := c.GetExampleWithResponse(ctx, e.Name, nil)
		if err != nil {
			t.Fatal(err)
		}
		if example.JSON200.Mechanisms == nil {
			continue
		}
		for _, m := range *example.JSON200.Mechanisms {
			kind, err := m.Discriminator()
			if err != nil {
				t.Fatal(err)
			}
			typed, err := m.ValueByDiscriminator()
			if err != nil {
				t.Fatal(err)
			}
			sent, err := json.Marshal(m)
			if err != nil {
				t.Fatal(err)
			}
			again, err := json.Marshal(typed)
			if err != nil {
				t.Fatal(err)
			}
			if !sameJSON(t, sent, again) {
				t.Errorf("%s: %s came back as %s", kind, sent, again)
			}
			seen[kind] = true
		}
	}
	for _, k := range kinds.JSON200.Kinds {
		if !seen[k.Kind] {
			t.Errorf("no example has a %s", k.Kind)
		}
	}
}

func sameJSON(t *testing.T, a, b []byte) bool {
	t.Helper()
	var forms [2][]byte
	for i, text := range [][]byte{a, b} {
		var v any
		if err := json.Unmarshal(text, &v); err != nil {
			t.Fatal(err)
		}
		forms[i], _ = json.Marshal(v)
	}
	return bytes.Equal(forms[0], forms[1])
}

func TestStoredDesigns(t *testing.T) {
	s := newService(t)
	c, ctx := s.client(t, s.keys[access.Write]), t.Context()

	made, err := c.CreateDesignWithResponse(ctx, nil, *jetty(t, 5))
	if err != nil {
		t.Fatal(err)
	}
	id, first := made.JSON201.Id, made.HTTPResponse.Header.Get("ETag")
	next, err := c.ReplaceDesignWithResponse(ctx, id, &client.ReplaceDesignParams{IfMatch: &first}, *jetty(t, 0))
	if err != nil {
		t.Fatal(err)
	}
	if next.JSON200.Version != 2 {
		t.Errorf("version %d, want 2", next.JSON200.Version)
	}
	_, err = c.ReplaceDesignWithResponse(ctx, id, &client.ReplaceDesignParams{IfMatch: &first}, *jetty(t, 1))
	problem(t, err, http.StatusPreconditionFailed)

	versions, err := c.ListVersionsWithResponse(ctx, id, nil)
	if err != nil || len(versions.JSON200.Versions) != 2 {
		t.Fatalf("versions: %v %v", versions, err)
	}
	kept, err := c.GetVersionWithResponse(ctx, id, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	tent, err := (*kept.JSON200.Mechanisms)[0].AsParallelFold()
	if err != nil || tent.Right.PanelWidth != 55 {
		t.Errorf("version 1 has %+v, %v", tent, err)
	}

	share, err := c.CreateShareWithResponse(ctx, id, client.ShareRequest{ValidDays: new(1)})
	if err != nil {
		t.Fatal(err)
	}
	visitor := s.client(t, "")
	shown, err := visitor.PatternVersionSvgWithResponse(ctx, id, 2, nil, client.Shared(path.Base(*share.JSON201.Url)))
	if err != nil || len(shown.Body) == 0 {
		t.Errorf("who has the link: %v", err)
	}
	_, err = visitor.GetDesignWithResponse(ctx, id, nil)
	problem(t, err, http.StatusUnauthorized)
	_, err = s.client(t, s.keys[access.Read]).CreateDesignWithResponse(ctx, nil, *jetty(t, 0))
	problem(t, err, http.StatusForbidden)
	// A browser key is of no use away from the pages it names.
	_, err = s.client(t, s.keys[access.Browser]).CheckWithResponse(ctx, client.CheckRequest{Design: jetty(t, 0)})
	problem(t, err, http.StatusForbidden)
}

func TestJobsAreFollowed(t *testing.T) {
	s := newService(t)
	c, ctx := s.client(t, s.keys[access.Write]), t.Context()
	request, err := json.Marshal(client.VaryRequest{
		Design: jetty(t, 0), Axes: []client.VaryAxis{{Pointer: "/mechanisms/0/right/panel_width", From: 50, To: 54, Steps: 3}},
	})
	if err != nil {
		t.Fatal(err)
	}
	made, err := c.CreateJobWithResponse(ctx, nil, client.JobRequest{Operation: client.JobOperationVary, Request: request})
	if err != nil {
		t.Fatal(err)
	}
	var last client.JobRecord
	for record, err := range c.Follow(ctx, made.JSON202.Id) {
		if err != nil {
			t.Fatal(err)
		}
		last = record
	}
	if last.State != client.JobStateDone {
		t.Fatalf("the job ends as %+v", last)
	}
	answer, err := c.GetJobResultWithResponse(ctx, last.Id)
	if err != nil {
		t.Fatal(err)
	}
	var varied client.Vary
	if err := json.Unmarshal(answer.Body, &varied); err != nil {
		t.Fatal(err)
	}
	verdicts := []client.Verdict{}
	for _, p := range varied.Points {
		verdicts = append(verdicts, *p.Verdict)
	}
	if want := []client.Verdict{client.VerdictOk, client.VerdictErrors, client.VerdictErrors}; !slices.Equal(verdicts, want) {
		t.Errorf("%v, want %v", verdicts, want)
	}
}
