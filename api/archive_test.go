package api

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"foldwright/openapi"
	"foldwright/storage"
	"foldwright/storage/archive"
	"foldwright/testdata/designs"

	"github.com/getkin/kin-openapi/openapi3"
)

func emptyArchive(t *testing.T) []byte {
	t.Helper()
	var out bytes.Buffer
	if _, err := archive.Write(t.Context(), &out, newStore(t).In("nobody")); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func sendArchive(t *testing.T, s *Server, query string, data []byte) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(http.MethodPost, "/v1/workspace/archive"+query, bytes.NewReader(data))
	r.Header.Set("Content-Type", MediaZIP)
	return call(t, s, r)
}

// A workspace goes from one service to another and comes out the same.
func TestWorkspaceArchive(t *testing.T) {
	from, to := newServer(t), newServer(t)
	for _, name := range []string{"harbour", "gull"} {
		document, _ := designs.Read(name)
		if w := post(t, from, "/v1/designs?message=first&author=keeper", string(document)); w.Code != http.StatusCreated {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
	}
	whole := get(t, from, "/v1/workspace/archive")
	if whole.Code != http.StatusOK || whole.Header().Get("Content-Type") != MediaZIP {
		t.Fatalf("%d %v", whole.Code, whole.Header())
	}
	for _, want := range []string{`"imported":2,"renamed":[],"skipped":0`, `"imported":0,"renamed":[],"skipped":2`} {
		if w := sendArchive(t, to, "", whole.Body.Bytes()); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), want) {
			t.Errorf("%d %s, want %s", w.Code, w.Body, want)
		}
	}
	if again := get(t, to, "/v1/workspace/archive"); !bytes.Equal(again.Body.Bytes(), whole.Body.Bytes()) {
		t.Error("other bytes")
	}

	page, err := to.database.In("local").List(t.Context(), storage.Query{})
	if err != nil || len(page.Designs) != 2 {
		t.Fatalf("%+v, %v", page, err)
	}
	if err := to.database.In("local").Delete(t.Context(), page.Designs[0].ID, 0); err != nil {
		t.Fatal(err)
	}
	if w := sendArchive(t, to, "", whole.Body.Bytes()); w.Code != http.StatusConflict || !strings.Contains(w.Body.String(), "/designs/"+page.Designs[0].ID) {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if w := sendArchive(t, to, "?conflicts=new_id", whole.Body.Bytes()); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), `"imported":1`) {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

func TestArchiveRefused(t *testing.T) {
	s := newServer(t)
	whole := emptyArchive(t)
	if w := sendArchive(t, s, "", whole[:len(whole)-5]); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "/problems/invalid-archive") || !strings.Contains(w.Body.String(), `"pointer":""`) {
		t.Errorf("cut: %d %s", w.Code, w.Body)
	}
	if w := sendArchive(t, s, "?conflicts=maybe", whole); w.Code != http.StatusBadRequest {
		t.Errorf("an unknown choice: %d %s", w.Code, w.Body)
	}
	if w := post(t, s, "/v1/workspace/archive", "{}"); w.Code != http.StatusUnsupportedMediaType {
		t.Errorf("JSON: %d %s", w.Code, w.Body)
	}
}

// What an import may say of a version is what the contract lets a request say.
func TestWordsOfAVersion(t *testing.T) {
	spec, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	label := spec.Paths.Value("/v1/designs/{id}/versions/{n}/labels/{label}").Parameters.GetByInAndName("path", "label")
	for _, tc := range []struct {
		schema *openapi3.SchemaRef
		most   uint64
	}{
		{spec.Components.Parameters["Message"].Value.Schema, storage.MaxMessage},
		{spec.Components.Parameters["Author"].Value.Schema, storage.MaxAuthor},
		{label.Schema, storage.MaxLabel},
	} {
		if *tc.schema.Value.MaxLength != tc.most {
			t.Errorf("the contract says %d, the store %d", *tc.schema.Value.MaxLength, tc.most)
		}
	}
}
