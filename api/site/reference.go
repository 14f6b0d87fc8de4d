package site

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"sort"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

//go:embed reference.html
var referenceText string

//go:embed reference.css
var referenceStyle template.CSS

var referencePage = parse("reference", referenceText)

// Reference makes the reference of an API from its contract.
func Reference(doc *openapi3.T) (*Page, error) {
	r, err := newReference(doc)
	if err != nil {
		return nil, err
	}
	r.Style = referenceStyle
	return newPage(referencePage, r, framedByNobody)
}

// reference is the contract in the order it is read.
type reference struct {
	Title, Version, Description string
	Style                       template.CSS
	Groups                      []group
	Schemas                     []schema
}

type group struct {
	Name, Description string
	Operations        []operation
}

type operation struct {
	ID, Method, Path, Summary, Description string

	Access     string        // who may ask
	Short      template.HTML // the path as the list of contents has room for it
	Parameters []parameter
	Bodies     []media
	Examples   []example
	Responses  []response
	Problems   []response
}

type parameter struct {
	Name, In, Description string
	Required              bool
	Type                  template.HTML
	Limits                string
}

// media is a media type and what is in it.
type media struct {
	Name string
	Type template.HTML
}

type example struct{ Summary, Text string }

type response struct {
	Status, Words, Description string
	Headers                    []string
	Media                      []media
}

func newReference(doc *openapi3.T) (*reference, error) {
	r := &reference{Title: doc.Info.Title, Version: doc.Info.Version, Description: doc.Info.Description}
	for _, tag := range doc.Tags {
		g := group{Name: tag.Name, Description: tag.Description}
		for _, path := range doc.Paths.InMatchingOrder() {
			item := doc.Paths.Value(path)
			for _, method := range methods {
				op := item.GetOperation(method)
				if op == nil || !slices.Contains(op.Tags, tag.Name) {
					continue
				}
				o, err := newOperation(path, method, item, op)
				if err != nil {
					return nil, err
				}
				g.Operations = append(g.Operations, o)
			}
		}
		sort.SliceStable(g.Operations, func(i, j int) bool { return g.Operations[i].Path < g.Operations[j].Path })
		r.Groups = append(r.Groups, g)
	}
	for _, name := range sortedKeys(doc.Components.Schemas) {
		r.Schemas = append(r.Schemas, newSchema(name, doc.Components.Schemas[name].Value))
	}
	return r, nil
}

// methods are in the order they are listed.
var methods = []string{http.MethodGet, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete}

func newOperation(path, method string, item *openapi3.PathItem, op *openapi3.Operation) (operation, error) {
	o := operation{ID: op.OperationID, Method: method, Path: path, Access: accessOf(op.Security), Short: short(path), Summary: op.Summary, Description: op.Description}
	for _, list := range []openapi3.Parameters{item.Parameters, op.Parameters} {
		for _, p := range list {
			o.Parameters = append(o.Parameters, parameter{
				Name: p.Value.Name, In: p.Value.In, Description: p.Value.Description, Required: p.Value.Required,
				Type: typeOf(p.Value.Schema), Limits: limits(p.Value.Schema.Value),
			})
		}
	}
	if op.RequestBody != nil {
		body := op.RequestBody.Value
		o.Bodies = mediaOf(body.Content)
		for _, name := range sortedKeys(body.Content) {
			if len(o.Examples) > 0 {
				break // other media types have the same ones
			}
			for _, key := range sortedKeys(body.Content[name].Examples) {
				e := body.Content[name].Examples[key].Value
				text, err := json.MarshalIndent(e.Value, "", "  ")
				if err != nil {
					return o, fmt.Errorf("site: example %s of %s: %w", key, op.OperationID, err)
				}
				o.Examples = append(o.Examples, example{e.Summary, string(text)})
			}
		}
	}
	for _, status := range sortedKeys(op.Responses.Map()) {
		r := newResponse(status, op.Responses.Value(status).Value)
		if status < firstProblem {
			o.Responses = append(o.Responses, r)
		} else {
			o.Problems = append(o.Problems, r)
		}
	}
	return o, nil
}

// accessOf says what an operation needs of who asks.
func accessOf(needed *openapi3.SecurityRequirements) string {
	var list []string
	if needed != nil {
		for _, one := range *needed {
			for _, name := range sortedKeys(one) {
				if name == "share" {
					list = append(list, "a share")
				} else {
					list = append(list, "a key of the scope "+name)
				}
			}
		}
	}
	if len(list) == 0 {
		return "Open to everyone."
	}
	return "Needs " + strings.Join(list, " or ") + "."
}

// firstProblem is the least status of an answer that is a problem.
const firstProblem = "400"

// short leaves out the beginning of a long path, and lets the rest break after
// its slashes.
func short(path string) template.HTML {
	const most = 4
	parts := strings.Split(path, "/")
	if len(parts) > most {
		parts = append([]string{"…"}, parts[len(parts)-3:]...)
	}
	return template.HTML(strings.Join(parts, "/<wbr>"))
}

func newResponse(status string, of *openapi3.Response) response {
	r := response{Status: status, Headers: sortedKeys(of.Headers), Media: mediaOf(of.Content)}
	if of.Description != nil {
		r.Description = *of.Description
	}
	var number int
	if _, err := fmt.Sscan(status, &number); err == nil {
		r.Words = http.StatusText(number)
	}
	return r
}

func mediaOf(content openapi3.Content) []media {
	var list []media
	for _, name := range sortedKeys(content) {
		list = append(list, media{name, typeOf(content[name].Schema)})
	}
	return list
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// anchor is the id of a path's operation or a schema in the page.
func anchor(kind, name string) string { return kind + "-" + strings.ToLower(name) }
