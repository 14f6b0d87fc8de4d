package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"regexp"

	"foldwright/solver/design"
	"foldwright/solver/model"
	"foldwright/solver/run"
	"foldwright/solver/view"
	"foldwright/storage"

	"github.com/labstack/echo/v4"
)

// storageFaults says what each answer of a store is to the client.
var storageFaults = []struct {
	err   error
	fault fault
}{
	{storage.ErrNotFound, fault{kind: notFound, detail: "there is no such design or version"}},
	{storage.ErrDeleted, fault{kind: deleted, detail: "the design is deleted; POST to its address followed by /restore brings it back"}},
	{storage.ErrConflict, fault{kind: staleVersion, detail: "If-Match does not name the newest version; get the design again, redo the change and send its new ETag"}},
	{storage.ErrKeyReused, fault{kind: keyReused, detail: "the Idempotency-Key was used for another request; use a new one for each change"}},
	{storage.ErrTaken, fault{kind: archiveConflict, detail: "the id belongs to another design; send conflicts=new_id to give it a new one"}},
	{storage.ErrBadCursor, fault{kind: invalidParameter, detail: "/query/cursor: " + otherList,
		errors: []FieldError{{Pointer: "/query/cursor", Code: BadCursor, Detail: otherList}}}},
	{storage.ErrInvalid, fault{kind: invalidDesign, detail: "the title or a tag holds a character that cannot be kept; take out U+0000",
		errors: []FieldError{{Pointer: "", Code: NotAllowed, Detail: "the title or a tag holds a character that cannot be kept; take out U+0000"}}}},
	{storage.ErrUnavailable, fault{kind: unavailable, detail: "the store cannot be reached, is too busy or its disk is full; try again soon"}},
	{storage.ErrSchema, fault{kind: unavailable, detail: "the store is being brought to this release; try again soon"}},
}

// solverFaults says what each answer of the solver is to the client.
var solverFaults = []struct {
	err    error
	detail string
}{
	{view.ErrTangled, "too many panels run through one another to be drawn; draw fewer mechanisms, or another opening"},
	{run.ErrTooMany, "one card has more parts than are laid out at once; lay out fewer mechanisms"},
}

// interpret turns any error into a fault. What it does not know is internal:
// the client gets a fixed text, and only the log has the cause.
func interpret(err error) *fault {
	if known, ok := errors.AsType[*fault](err); ok {
		return known
	}
	if invalid, ok := errors.AsType[*design.Invalid](err); ok {
		return designFault(err, invalid)
	}
	if full, ok := errors.AsType[*storage.QuotaError](err); ok {
		return &fault{kind: quotaReached, reason: full.What, detail: fmt.Sprintf("no more than %d %s are kept here", full.Limit, full.What), cause: err}
	}
	if none, ok := errors.AsType[*storage.NoLabelError](err); ok {
		return &fault{kind: notFound, detail: noLabel(none), cause: err}
	}
	for i := range storageFaults {
		if errors.Is(err, storageFaults[i].err) {
			f := storageFaults[i].fault
			f.cause = err
			return &f
		}
	}
	for i := range solverFaults {
		if errors.Is(err, solverFaults[i].err) {
			return &fault{kind: tooComplex, detail: solverFaults[i].detail, cause: err}
		}
	}
	if shapeless, ok := errors.AsType[*model.PanelError](err); ok {
		return &fault{kind: tooComplex, detail: "the paper of " + shapeless.Panel + " cannot be made solid; simplify its outline, or take out what is cut from it", cause: err}
	}
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		// A client that has gone away reads no answer, so both may say the same.
		return &fault{kind: tookTooLong, detail: "the request took longer than the service allows; ask for fewer mechanisms, openings, pictures or copies in one request", cause: err}
	}
	if routing, ok := errors.AsType[*echo.HTTPError](err); ok {
		return routingFault(routing)
	}
	return &fault{kind: internal, detail: "something went wrong in the service; quote the request id when you report it", cause: err}
}

// designFault lists the faults of a document. Faults of the JSON text make it
// malformed, for no rule of designs was applied then.
func designFault(err error, invalid *design.Invalid) *fault {
	prefix := ""
	if where, ok := errors.AsType[*placed](err); ok {
		prefix = where.prefix
	}
	kind := invalidDesign
	list := make([]FieldError, len(invalid.Problems))
	for i, p := range invalid.Problems {
		code := FieldErrorCode(p.Code)
		list[i] = FieldError{Pointer: prefix + p.Pointer, Code: code, Detail: p.Detail}
		if info := infoOf(code); info != nil && info.kind == malformedJSON {
			kind = malformedJSON
		}
	}
	return faultAt(kind, list...)
}

// otherList is what is wrong with a cursor.
const otherList = "not made by this list, with these filters and this order; start again without one"

// bindingText is what the generated binding says of a parameter.
var bindingText = regexp.MustCompile(`^Invalid format for parameter ([^:]+):`)

// routingFault is for what the router and the generated parameter binding
// refuse.
func routingFault(err *echo.HTTPError) *fault {
	switch err.Code {
	case http.StatusNotFound:
		return &fault{kind: notFound, detail: "no route has this address; GET /openapi.json lists them"}
	case http.StatusMethodNotAllowed:
		return &fault{kind: methodNotAllowed, detail: "the Allow header lists the methods this address answers"}
	case http.StatusBadRequest:
		// The contract was applied before, so only a parameter given twice
		// comes this far.
		if m := bindingText.FindStringSubmatch(fmt.Sprint(err.Message)); m != nil {
			f := faultAt(invalidParameter, FieldError{Pointer: "/query/" + pointerToken(m[1]), Code: NotAllowed, Detail: "is given more than once; give it once"})
			f.cause = err
			return f
		}
		return &fault{kind: invalidParameter, detail: "a parameter cannot be read", cause: err}
	default:
		return &fault{kind: internal, detail: "something went wrong in the service; quote the request id when you report it", cause: err}
	}
}
