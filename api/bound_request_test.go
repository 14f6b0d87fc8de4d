package api

import (
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"foldwright/testdata/designs"

	"github.com/getkin/kin-openapi/openapi3"
)

// boundary is something of a request that has bounds: a parameter or the body.
type boundary struct {
	*walker
	parameter *openapi3.Parameter // nil for the body
	schema    *openapi3.Schema
	bodies    []any  // that the contract allows, to put values into
	job       string // the operation whose body stands in that of a job
	patch     bool   // whether the body is a merge patch: what is null or missing is no fault there
	keeper    bool   // whether what lies on its bounds is sent too; parameters are shared by operations
}

var parameterPlaces = []string{openapi3.ParameterInPath, openapi3.ParameterInQuery, openapi3.ParameterInHeader}

// boundaries are all those of an operation.
func (w *walker) boundaries(t *testing.T) []*boundary {
	t.Helper()
	list := []*boundary{}
	for _, in := range parameterPlaces {
		for _, p := range w.parameters(in) {
			list = append(list, &boundary{walker: w, parameter: p, schema: p.Schema.Value})
		}
	}
	if w.op.bodies == nil || w.op.archive {
		return list
	}
	media := w.op.media()
	list = append(list, &boundary{walker: w, schema: media.Schema.Value, bodies: w.allowedBodies(t, media)})
	switch w.op.route.Operation.OperationID {
	case "patchDesign":
		media = w.operations.named(t, "replaceDesign").media()
		list = append(list, &boundary{walker: w, schema: media.Schema.Value, bodies: w.allowedBodies(t, media), patch: true})
	case "createJob":
		for _, name := range texts(media.Schema.Value.Properties["operation"].Value.Enum) {
			media := w.operations.named(t, name).media()
			list = append(list, &boundary{walker: w, schema: media.Schema.Value, bodies: w.allowedBodies(t, media), job: name})
		}
	}
	return list
}

func (op *operation) media() *openapi3.MediaType {
	return op.route.Operation.RequestBody.Value.Content[op.bodies[0]]
}

func (ops operations) named(t *testing.T, name string) *operation {
	t.Helper()
	for _, op := range ops {
		if op.route.Operation.OperationID == name {
			return op
		}
	}
	t.Fatalf("no operation %s", name)
	return nil
}

// allowedBodies are the documented ones, and with each of the example designs.
func (w *walker) allowedBodies(t *testing.T, media *openapi3.MediaType) []any {
	t.Helper()
	list := []any{}
	for _, name := range slices.Sorted(maps.Keys(media.Examples)) {
		list = append(list, cloned(t, media.Examples[name].Value.Value))
	}
	raws := [][]byte{}
	for _, name := range designs.Names() {
		raw, _ := designs.Read(name)
		raws = append(raws, raw)
	}
	slices.SortFunc(raws, func(a, b []byte) int { return len(a) - len(b) })
	for _, raw := range raws {
		design := asValue(t, raw)
		switch properties := media.Schema.Value.Properties; {
		case properties["spread"] != nil:
			list = append(list, design)
		case properties[designField] != nil:
			body := maps.Clone(list[0].(map[string]any))
			delete(body, "example")
			body[designField] = design
			list = append(list, body)
		}
	}
	return list
}

// stands is the value at a place of the body that reaches furthest towards it.
func (b *boundary) stands(place []string, s *openapi3.Schema) any {
	if b.parameter != nil && len(place) == 0 && b.parameter.Example != nil {
		return b.parameter.Example
	}
	if b.parameter == nil {
		body, tokens := b.nearest(place)
		if value, ok := valueAt(body, tokens); ok {
			return value
		}
	}
	return b.of(s, onlyRequired)
}

// onlyRequired is a depth at which next to nothing is drawn that may be left out.
const onlyRequired = 1 << 20

// nearest is the body that has most of a place, and the place in it.
func (b *boundary) nearest(place []string) (body any, tokens []string) {
	most := -1
	for _, one := range b.bodies {
		at, found := located(one, place)
		if found > most {
			body, tokens, most = one, at, found
		}
	}
	return body, tokens
}

// located is a place in a value and how far it is there. Of the items of a list
// that which reaches furthest is taken, and where a kind is asked for, of those
// of the kind.
func located(value any, place []string) (tokens []string, found int) {
	if len(place) == 0 {
		return place, 0
	}
	token, rest := place[0], place[1:]
	tokens, most := place, 0
	take := func(token string, inner any) {
		if within, found := located(inner, rest); 1+found > most {
			tokens, most = append([]string{token}, within...), 1+found
		}
	}
	switch in := value.(type) {
	case map[string]any:
		if inner, ok := in[token]; ok {
			take(token, inner)
		}
	case []any:
		name, kind, chosen := strings.Cut(token, "=")
		for i, item := range in {
			if !chosen || item.(map[string]any)[name] == kind {
				take(strconv.Itoa(i), item)
			}
		}
	}
	return tokens, most
}

func valueAt(value any, tokens []string) (any, bool) {
	for _, token := range tokens {
		switch in := value.(type) {
		case map[string]any:
			inner, ok := in[token]
			if !ok {
				return nil, false
			}
			value = inner
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i >= len(in) {
				return nil, false
			}
			value = in[i]
		default:
			return nil, false
		}
	}
	return value, true
}

// insteadOf are the members that take the place of another.
var insteadOf = map[string]string{"point": "edge"}

// put is a value with another at a place within it; what is not there on the way
// is drawn from the schema.
func (b *boundary) put(in any, s *openapi3.Schema, tokens []string, value any) any {
	if len(tokens) == 0 {
		return value
	}
	token, rest := tokens[0], tokens[1:]
	if s.Type.Is(openapi3.TypeArray) {
		list, _ := in.([]any)
		list = slices.Clone(list)
		i, _ := strconv.Atoi(token)
		if i == len(list) {
			list = append(list, b.of(s.Items.Value, onlyRequired))
		}
		list[i] = b.put(list[i], s.Items.Value, rest, value)
		return list
	}
	object, there := in.(map[string]any)
	if there {
		object = maps.Clone(object)
	} else {
		drawn, _ := b.of(s, onlyRequired).(map[string]any)
		object = maps.Clone(drawn)
	}
	if s.Discriminator != nil {
		s = b.kindOf(s, object)
	}
	delete(object, insteadOf[token])
	if left := object["left"]; token == "right" && object[token] == nil && left != nil {
		object[token] = left // as where it is left out
	}
	inner := s.AdditionalProperties.Schema
	if p := s.Properties[token]; p != nil {
		inner = p
	}
	if _, out := value.(without); out && len(rest) == 0 {
		delete(object, token)
		return object
	}
	if len(rest) == 0 {
		object[token] = value
	} else {
		object[token] = b.put(object[token], inner.Value, rest, value)
	}
	return object
}

func (b *boundary) kindOf(s *openapi3.Schema, object map[string]any) *openapi3.Schema {
	ref := s.Discriminator.Mapping[object[s.Discriminator.PropertyName].(string)].Ref
	i := slices.IndexFunc(s.OneOf, func(one *openapi3.SchemaRef) bool { return strings.HasSuffix(ref, one.Ref) })
	return s.OneOf[i].Value
}

// request has a value at the place of a bound, and everything else as it is
// allowed; pointer is where a fault of the value is.
func (b *boundary) request(t *testing.T, one *bound, value any) (q *walkRequest, pointer string) {
	t.Helper()
	q = &walkRequest{op: b.op, method: b.op.route.Method, header: http.Header{}, role: adminRole(), ours: true}
	query, path := url.Values{}, map[string]string{}
	b.allowedAddress(query, q.header)
	if b.op.bodies != nil {
		q.header.Set("Content-Type", b.op.bodies[0])
		q.body = b.walker.body(t)
	}
	if p := b.parameter; p != nil {
		pointer = "/" + p.In + "/" + p.Name
		b.address(p, value, query, q.header, path)
		pointer = pointerUnder(pointer, one.place)
	} else {
		q.body, pointer = b.body(t, one, value)
	}
	b.identify(q, query)
	q.target = b.pathWith(path)
	if len(query) > 0 {
		q.target += "?" + query.Encode()
	}
	return q, pointer
}

func adminRole() role {
	return roles[slices.IndexFunc(roles, func(r role) bool { return r.name == "admin" })]
}

// allowedAddress sets what may not be left out.
func (b *boundary) allowedAddress(query url.Values, header http.Header) {
	for _, p := range b.parameters(openapi3.ParameterInQuery) {
		if p.Required {
			query.Set(p.Name, inAddress(b.walker.parameter(p)))
		}
	}
	for _, p := range b.parameters(openapi3.ParameterInHeader) {
		if p.Name == "If-Match" {
			header.Set(p.Name, "*")
		}
	}
}

// body is that with a value at the place of a bound.
func (b *boundary) body(t *testing.T, one *bound, value any) (raw []byte, pointer string) {
	t.Helper()
	body, tokens := b.nearest(one.place)
	if one.beside != "" {
		other, at := b.nearest([]string{one.beside})
		there, _ := valueAt(other, at)
		body = b.put(body, b.schema, at, there)
	}
	if value == (without{}) && len(tokens) == 0 {
		return nil, ""
	}
	body = b.put(body, b.schema, tokens, value)
	if b.job == "" {
		return encoded(t, body), pointerUnder("", tokens)
	}
	return encoded(t, map[string]any{"operation": b.job, requestField: body}), pointerUnder("/"+requestField, tokens)
}

func pointerUnder(pointer string, tokens []string) string {
	for _, token := range tokens {
		pointer += "/" + pointerToken(token)
	}
	return pointer
}

// address writes a value as a parameter, an item as a list of one, or leaves it
// out.
func (b *boundary) address(p *openapi3.Parameter, value any, query url.Values, header http.Header, path map[string]string) {
	if value == (without{}) {
		query.Del(p.Name)
		header.Del(p.Name)
		return
	}
	switch p.In {
	case openapi3.ParameterInPath:
		path[p.Name] = url.PathEscape(inAddress(value))
	case openapi3.ParameterInHeader:
		header.Set(p.Name, inAddress(value))
	default:
		query.Del(p.Name)
		list, several := value.([]any)
		if !several || p.Explode == nil || !*p.Explode {
			list = []any{value}
		}
		for _, one := range list {
			query.Add(p.Name, inAddress(one))
		}
	}
}

// inInchesToo is a body with its design in inches; nil where it has none.
func inInchesToo(t *testing.T, body []byte) []byte {
	t.Helper()
	object, _ := asValue(t, body).(map[string]any)
	design, inside := object[designField].(map[string]any)
	switch {
	case inside:
	case object["example"] != nil:
		delete(object, "example")
		design = map[string]any{"spread": map[string]any{"page_width": 5, "page_height": 7}}
		object[designField] = design
	case object["spread"] != nil:
		design = object
	default:
		return nil
	}
	design["units"] = "in"
	return encoded(t, object)
}
