package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/labstack/echo/v4"
)

// maxBody is the longest body that is read, in bytes.
const maxBody = 2 << 20

// contractOptions leaves the body to this package, which reads a design once
// and never holds it to the schema: the design package says far better what is
// wrong with one.
var contractOptions = &openapi3filter.Options{
	ExcludeRequestBody: true, SkipSettingDefaults: true,
	AuthenticationFunc: openapi3filter.NoopAuthenticationFunc, // see authenticate
}

// holdToContract is the middleware that lets only requests through that the
// contract allows, the design in them aside.
func (s *Server) holdToContract(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		x := exchangeOf(c.Request().Context())
		op := x.operation
		if op == nil { // the router has its own answer
			return next(c)
		}
		if err := op.negotiate(c.Request(), x); err != nil {
			return err
		}
		if err := op.checkParameters(c); err != nil {
			return err
		}
		if op.bodies != nil {
			if err := op.readBody(c); err != nil {
				return err
			}
		}
		return next(c)
	}
}

func (op *operation) negotiate(r *http.Request, x *exchange) error {
	if len(op.offers) == 0 {
		return nil
	}
	x.media = negotiate(r.Header.Values("Accept"), op.offers)
	if x.media == "" {
		return &fault{kind: notAcceptable, detail: "offered here: " + strings.Join(op.offers, ", ")}
	}
	return nil
}

func (op *operation) checkParameters(c echo.Context) error {
	// Go's own reading leaves out what it cannot read.
	if _, err := url.ParseQuery(c.Request().URL.RawQuery); err != nil {
		return faultAt(invalidParameter, FieldError{Pointer: "/query", Code: BadFormat, Detail: unreadableQuery})
	}
	for name := range c.QueryParams() {
		if !slices.Contains(op.query, name) {
			return faultAt(invalidParameter, FieldError{
				Pointer: "/query/" + pointerToken(name), Code: UnknownField, Detail: unknownParameter(op.query),
			})
		}
	}
	params := make(map[string]string, len(c.ParamNames()))
	for i, name := range c.ParamNames() {
		params[name] = plainSegment(c.Request().URL, c.ParamValues()[i])
	}
	// The library would read the body, however long it is.
	bare := *c.Request()
	bare.Body = http.NoBody
	input := &openapi3filter.RequestValidationInput{
		Request: &bare, PathParams: params, QueryParams: c.QueryParams(), Route: op.route, Options: contractOptions,
	}
	if err := openapi3filter.ValidateRequest(c.Request().Context(), input); err != nil {
		return parameterFault(err)
	}
	return nil
}

// plainSegment is a segment of a path without escapes. The router leaves them in
// where the address has some that need not be there, or a slash.
func plainSegment(address *url.URL, segment string) string {
	if address.RawPath == "" {
		return segment
	}
	if plain, err := url.PathUnescape(segment); err == nil {
		return plain
	}
	return segment
}

const unreadableQuery = "cannot be read: part parameters by ampersands and the values of a list by commas, and write % as %25 and ; as %3B"

func unknownParameter(allowed []string) string {
	if len(allowed) == 0 {
		return "unknown parameter; none are allowed here"
	}
	return "unknown parameter; allowed here: " + strings.Join(allowed, ", ")
}

// readBody reads the whole body and holds its options to the contract.
func (op *operation) readBody(c echo.Context) error {
	r := c.Request()
	if err := op.checkMedia(r); err != nil {
		return err
	}
	if op.archive {
		r.Body = newUpload(c.Response(), http.MaxBytesReader(c.Response(), r.Body, maxArchive))
		return nil
	}
	body, err := io.ReadAll(http.MaxBytesReader(c.Response(), r.Body, maxBody))
	if err != nil {
		return unreadable(err)
	}
	r.Body = io.NopCloser(bytes.NewReader(body))
	if op.options == nil {
		return nil
	}
	return checkEnvelope(body, op.options)
}

// checkMedia leaves the Content-Type as the generated code expects it.
func (op *operation) checkMedia(r *http.Request) error {
	refused := &fault{kind: unsupportedMedia, detail: "send the body as " + strings.Join(op.bodies, " or ")}
	media, params, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || !slices.Contains(op.bodies, media) {
		return refused
	}
	if charset := params["charset"]; charset != "" && !strings.EqualFold(charset, "utf-8") {
		return &fault{kind: unsupportedMedia, detail: "JSON is read as UTF-8 only"}
	}
	if coding := r.Header.Get("Content-Encoding"); coding != "" && !strings.EqualFold(coding, "identity") {
		return &fault{kind: unsupportedMedia, detail: "send the body without Content-Encoding"}
	}
	r.Header.Set("Content-Type", media)
	return nil
}

func unreadable(err error) error {
	if _, tooLarge := errors.AsType[*http.MaxBytesError](err); tooLarge {
		return &fault{kind: bodyTooLarge, detail: fmt.Sprintf("a body may be %d bytes long", maxBody)}
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return &fault{kind: malformedJSON, detail: "the body did not arrive in time", cause: err}
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return &fault{kind: malformedJSON, detail: "the body ended before it was complete", cause: err}
}
