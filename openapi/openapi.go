package openapi

//go:generate go run ./internal/writetables
//go:generate go generate ./client

import (
	_ "embed"
	"fmt"

	"github.com/getkin/kin-openapi/openapi3"
)

//go:embed openapi.yaml
var source []byte

// YAML is the document as it is written.
func YAML() []byte { return source }

// Load reads the document. Each call makes a copy of its own, which the caller
// may change.
func Load() (*openapi3.T, error) {
	doc, err := openapi3.NewLoader().LoadFromData(source)
	if err != nil {
		return nil, fmt.Errorf("openapi: %w", err)
	}
	return doc, nil
}
