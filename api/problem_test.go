package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"testing"

	"foldwright/openapi"
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/pattern"
	"foldwright/storage"

	"github.com/getkin/kin-openapi/openapi3"
)

func enumOf(t *testing.T, schema string) []string {
	t.Helper()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	list := []string{}
	for _, v := range doc.Components.Schemas[schema].Value.Enum {
		list = append(list, v.(string))
	}
	return list
}

func sameSet(t *testing.T, what string, got, want []string) {
	t.Helper()
	got, want = slices.Sorted(slices.Values(got)), slices.Sorted(slices.Values(want))
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s: the contract lists %v, the code has %v", what, got, want)
	}
}

// Every code a design can be refused with is explained, mapped and in the
// contract.
func TestEveryDesignCodeIsMapped(t *testing.T) {
	codes := []string{}
	for _, info := range codeInfos {
		codes = append(codes, string(info.code))
		if info.explanation == "" {
			t.Errorf("%s is not explained", info.code)
		}
	}
	sameSet(t, "FieldErrorCode", enumOf(t, "FieldErrorCode"), codes)
	for _, code := range design.Codes() {
		info := infoOf(FieldErrorCode(code))
		if info == nil {
			t.Errorf("%s is mapped to no problem", code)
			continue
		}
		f := interpret(within("/design", &design.Invalid{Problems: []design.Problem{{Pointer: "/spread", Code: code, Detail: "so"}}}))
		if f.kind != info.kind {
			t.Errorf("%s is answered as %s, explained under %s", code, f.kind.name, info.kind.name)
		}
		if f.errors[0].Pointer != "/design/spread" || f.detail != "/design/spread: so" {
			t.Errorf("%s: %+v", code, f)
		}
	}
}

func TestEveryFindingAndPatternCodeIsInTheContract(t *testing.T) {
	codes := []string{}
	for _, info := range finding.Catalogue() {
		codes = append(codes, string(info.Code))
	}
	sameSet(t, "FindingCode", enumOf(t, "FindingCode"), codes)
	codes = codes[:0]
	for _, code := range pattern.Codes() {
		codes = append(codes, string(code))
	}
	sameSet(t, "PatternProblemCode", enumOf(t, "PatternProblemCode"), codes)
}

// Every error the storage contract names has an answer of its own, never the
// fixed text for the unknown.
func TestEveryStorageErrorIsMapped(t *testing.T) {
	want := map[error]int{
		storage.ErrNotFound:    http.StatusNotFound,
		storage.ErrDeleted:     http.StatusGone,
		storage.ErrConflict:    http.StatusPreconditionFailed,
		storage.ErrKeyReused:   http.StatusUnprocessableEntity,
		storage.ErrTaken:       http.StatusConflict,
		storage.ErrBadCursor:   http.StatusBadRequest,
		storage.ErrInvalid:     http.StatusUnprocessableEntity,
		storage.ErrUnavailable: http.StatusServiceUnavailable,
		storage.ErrSchema:      http.StatusServiceUnavailable,
	}
	for err, status := range want {
		if !storage.IsAnswer(err) {
			t.Errorf("%v is not in the storage contract", err)
		}
		f := interpret(fmt.Errorf("in a transaction: %w", err))
		if f.kind.status != status || f.kind == internal {
			t.Errorf("%v is answered %d %s", err, f.kind.status, f.kind.name)
		}
		if strings.Contains(f.detail, "transaction") {
			t.Errorf("%v: the client is told %q", err, f.detail)
		}
	}
	for _, known := range storageFaults {
		if _, ok := want[known.err]; !ok {
			t.Errorf("%v is mapped but not tested", known.err)
		}
	}
}

func TestQuotaIsNamed(t *testing.T) {
	f := interpret(fmt.Errorf("in a transaction: %w", &storage.QuotaError{What: "versions", Limit: 30}))
	if f.kind != quotaReached || !strings.Contains(f.detail, "30 versions") || !storage.IsAnswer(f.cause) {
		t.Errorf("%+v", f)
	}
}

// The unknown is told to the log only.
func TestUnknownErrorSaysNothing(t *testing.T) {
	f := interpret(errors.New("password=quay refused"))
	if f.kind != internal || strings.Contains(f.detail, "quay") {
		t.Errorf("%+v", f)
	}
	if !strings.Contains(f.Error(), "quay") {
		t.Errorf("the log does not learn the cause: %s", f.Error())
	}
	if f := interpret(context.DeadlineExceeded); f.kind != tookTooLong {
		t.Errorf("a deadline is answered as %s", f.kind.name)
	}
}

// Each problem type is one of the contract's examples, which says what the code
// would; and each response that carries problems names examples of its own
// status.
func TestEveryProblemIsDocumented(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	examples, err := problemExamples(doc)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range problemKinds {
		e, ok := examples[k.address()]
		if !ok {
			t.Errorf("%s has no example", k.name)
			continue
		}
		if e.Title != k.title || e.Status != k.status {
			t.Errorf("%s: the example says %q %d, the code %q %d", k.name, e.Title, e.Status, k.title, k.status)
		}
		if k.explanation == "" {
			t.Errorf("%s is not explained", k.name)
		}
	}
	if len(examples) != len(problemKinds) {
		t.Errorf("%d examples of problems, %d kinds", len(examples), len(problemKinds))
	}
	used := map[string]bool{}
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			for status, response := range op.Responses.Map() {
				for name := range problemsOf(t, doc, response.Value) {
					used[name] = true
					if got := fmt.Sprint(examples[problemBase+name].Status); got != status {
						t.Errorf("%s %s: %s, which is %s, is an example of %s", method, path, name, got, status)
					}
				}
			}
		}
	}
	for _, k := range problemKinds {
		if !used[k.name] && k != methodNotAllowed { // which any route answers, and none lists
			t.Errorf("no route documents %s", k.name)
		}
	}
}

func problemsOf(t *testing.T, doc *openapi3.T, response *openapi3.Response) map[string]bool {
	t.Helper()
	names := map[string]bool{}
	if media := response.Content[mediaProblem]; media != nil {
		for name := range media.Examples {
			names[name] = true
		}
		if len(names) == 0 {
			t.Errorf("%s has no example", *response.Description)
		}
	}
	return names
}
