package api

import (
	"fmt"
	"net/http"
	"slices"
	"sort"
	"strings"

	"foldwright/storage/access"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/routers"
)

// operation is what the contract says of one route and method, in the form
// needed at run time.
type operation struct {
	route *routers.Route
	// offers is the media types of the answer, the default first.
	offers []string
	// bodies is the media types the operation reads; nil when it reads none.
	bodies []string
	// options is the schema of the body when that is options, perhaps with a
	// design among them; nil when it is the design, or a patch of one, itself.
	options *openapi3.Schema
	query   []string
	// scope is the least a key must have; empty where none is needed.
	scope access.Scope
	// shared is whether whoever has a share of the design may ask too.
	shared bool
	// queued is whether it makes the solver work.
	queued bool
	// lasting is whether its answers follow from a design and options alone.
	lasting bool
	// archive is whether it sends or takes files that may be longer than memory,
	// for longer than other requests may take.
	archive bool
	// service is whether it is for running the service.
	service bool
}

// operations is the contract by method and route.
type operations map[string]*operation

func operationKey(method, path string) string { return method + " " + path }

// loadOperations sorts the contract. Routes are keyed as the router writes
// them, with a colon before a parameter's name.
func loadOperations(doc *openapi3.T) (operations, error) {
	ops := operations{}
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			o, err := newOperation(&routers.Route{Spec: doc, Path: path, PathItem: item, Method: method, Operation: op})
			if err != nil {
				return nil, err
			}
			ops[operationKey(method, echoPath(path))] = o
		}
	}
	return ops, nil
}

func echoPath(path string) string {
	return strings.NewReplacer("{", ":", "}", "").Replace(path)
}

func newOperation(route *routers.Route) (*operation, error) {
	o := &operation{route: route, query: queryNames(route), lasting: isLasting(route.Operation.OperationID), service: slices.Contains(route.Operation.Tags, "service")}
	if err := o.readAccess(); err != nil {
		return nil, err
	}
	for status, response := range route.Operation.Responses.Map() {
		if strings.HasPrefix(status, "2") && len(response.Value.Content) > 0 {
			o.offers = mediaTypes(response.Value.Content)
		}
	}
	if body := route.Operation.RequestBody; body != nil {
		o.bodies = mediaTypes(body.Value.Content)
		if schema := body.Value.Content[o.bodies[0]].Schema; strings.HasSuffix(schema.Ref, "Request") {
			o.options = schema.Value
		}
		o.archive = slices.Contains(o.bodies, MediaZIP)
		if !o.archive && !slices.Contains(o.bodies, MediaJSON) {
			return nil, fmt.Errorf("api: %s %s reads no JSON", route.Method, route.Path)
		}
	}
	o.archive = o.archive || slices.Contains(o.offers, MediaZIP)
	return o, nil
}

// queuedExtension marks the operations that wait for their turn.
const queuedExtension = "x-queued"

// readAccess reads who may ask: the security of the contract names the scope,
// and share where a share will do. It must be there, for nobody shall forget it.
func (o *operation) readAccess() error {
	op := o.route.Operation
	if op.Security == nil {
		return fmt.Errorf("api: %s %s has no security; [] is for what is open to everyone", o.route.Method, o.route.Path)
	}
	for _, requirement := range *op.Security {
		for name := range requirement {
			switch scope := access.Scope(name); {
			case name == shareParameter:
				o.shared = true
				o.query = append(o.query, shareParameter)
			case scope.Valid() && o.scope == "":
				o.scope = scope
			default:
				return fmt.Errorf("api: %s %s: %s is no security the server knows, or a second scope", o.route.Method, o.route.Path, name)
			}
		}
	}
	o.queued, _ = op.Extensions[queuedExtension].(bool)
	return nil
}

// sharedLinks are the addresses of a version that whoever has a share may ask,
// by what is at them.
func (ops operations) sharedLinks(version, query string) map[string]string {
	links := map[string]string{}
	for _, op := range ops {
		if op.shared {
			_, what, _ := strings.Cut(op.route.Path, "/versions/{n}")
			name := strings.TrimPrefix(what, "/")
			if name == "" {
				name = "document"
			}
			links[name] = version + what + query
		}
	}
	return links
}

// preferred are the media types for clients that do not choose, the first that
// is offered.
var preferred = []string{MediaJSON, MediaSVG}

// mediaTypes lists what is preferred first.
func mediaTypes(content openapi3.Content) []string {
	list := make([]string, 0, len(content))
	for media := range content {
		list = append(list, media)
	}
	rank := func(media string) int {
		if i := slices.Index(preferred, media); i >= 0 {
			return i
		}
		return len(preferred)
	}
	sort.Slice(list, func(i, j int) bool {
		if a, b := rank(list[i]), rank(list[j]); a != b {
			return a < b
		}
		return list[i] < list[j]
	})
	return list
}

func queryNames(route *routers.Route) []string {
	names := []string{}
	for _, list := range []openapi3.Parameters{route.PathItem.Parameters, route.Operation.Parameters} {
		for _, p := range list {
			if p.Value.In == openapi3.ParameterInQuery {
				names = append(names, p.Value.Name)
			}
		}
	}
	return names
}

// find is the operation of a route; HEAD is that of GET without the body.
func (ops operations) find(method, path string) *operation {
	if method == http.MethodHead {
		method = http.MethodGet
	}
	return ops[operationKey(method, path)]
}
