package openapi_test

import (
	"testing"

	"foldwright/openapi"

	"github.com/getkin/kin-openapi/openapi3"
)

// The examples are checked against their schemas too.
func TestDocumentIsValid(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	if err := doc.Validate(t.Context(), openapi3.EnableExamplesValidation(), openapi3.EnableSchemaPatternValidation()); err != nil {
		t.Fatal(err)
	}
}

func TestJSONIsTheSameDocument(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	data, err := doc.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	fromJSON, err := openapi3.NewLoader().LoadFromData(data)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := fromJSON.Paths.Len(), doc.Paths.Len(); got != want {
		t.Errorf("%d paths in JSON, %d in YAML", got, want)
	}
	if got, want := len(fromJSON.Components.Schemas), len(doc.Components.Schemas); got != want {
		t.Errorf("%d schemas in JSON, %d in YAML", got, want)
	}
}
