package api

import (
	"net/http"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
)

// boundException is where the contract has a bound that is not told as others
// are, or that a value may lie on and be refused for another reason.
type boundException struct {
	where  *regexp.Regexp // what is done, operation, pointer and rule
	reason string
	used   atomic.Bool
}

func except(where, reason string) *boundException {
	return &boundException{where: regexp.MustCompile("^" + where + "$"), reason: reason}
}

var boundExceptions = []*boundException{
	except(`break \w+ /path/\w+ minLength`, "an address with an empty segment is another address, and there is nothing at it"),
	except(`break \w+ /query/(tag|measures)/0 minLength`, "a list of one item that is empty is written as an empty list is, and told as one"),
	except(`break listDesigns /query/tag minItems`, "a list that is repeated for each item is left out where it has none"),
	except(`keep \w+ /header/If-Match minLength`, "an entity tag stands in quotes (RFC 9110 section 8.8.3), so the shortest text is * only"),
	except(`keep (vary|tolerance) /measures/0/measure minLength`, "no measure has a name of one letter"),
	except(`keep createDesign /mechanisms/\d+/(outline|window) minLength`, "a command of SVG path data is one letter, but draws nothing"),
}

// excepted is whether something is in the table.
func excepted(what string) bool {
	for _, e := range boundExceptions {
		if e.where.MatchString(what) {
			e.used.Store(true)
			return true
		}
	}
	return false
}

// followOn are faults elsewhere that may come of one.
var followOn = []struct {
	what, detail *regexp.Regexp
	reason       string
}{
	{regexp.MustCompile(`/mechanisms`), regexp.MustCompile(`^there is no (fold|panel) |^"\w+" is an? \w+, which makes `), "what stands on a mechanism that cannot be read stands on nothing"},
	{regexp.MustCompile(`/glue/0/point`), regexp.MustCompile(`^a point is glued at one point|^a glued point makes no fold`), "the point takes the place of an edge, which has a name and lies on a line"},
}

// followed is whether a fault may come of what is wrong elsewhere.
func followed(what string, e *FieldError) bool {
	for _, f := range followOn {
		if f.what.MatchString(what) && f.detail.MatchString(e.Detail) {
			return true
		}
	}
	return false
}

// breaks sends what breaks a bound, which must be told at its place, and no
// place besides.
func (b *boundary) breaks(t *testing.T, one *bound) {
	t.Helper()
	q, pointer := b.request(t, one, one.broken)
	a := q.sent(t, b.harbour).judged(t)
	what := "break " + b.name() + " " + pointer + " " + one.rule
	faults := a.faults(t)
	if !one.toldAt(pointer, faults) {
		if !excepted(what) {
			t.Errorf("%s is not told: %s", what, a.told())
		}
		return
	}
	for i := range faults {
		if e := &faults[i]; e.Pointer != pointer && !followed(what, e) {
			t.Errorf("%s is told at %s too: %s", what, e.Pointer, a.told())
		}
	}
}

// keeps sends what lies on a bound, which may be refused only by other rules.
// What is refused in millimetres may be so because it is the least in inches.
func (b *boundary) keeps(t *testing.T, one *bound) {
	t.Helper()
	q, pointer := b.request(t, one, one.kept)
	a := b.sentBriefly(t, q)
	if one.toldAt(pointer, a.faults(t)) && one.inInches != nil && q.body != nil {
		q, _ = b.request(t, one, one.inInches)
		if inches := inInchesToo(t, q.body); inches != nil {
			q.body = inches
			a = b.sentBriefly(t, q)
		}
	}
	what := "keep " + b.name() + " " + pointer + " " + one.rule
	if one.toldAt(pointer, a.faults(t)) && !excepted(what) {
		t.Errorf("%s is refused: %s", what, a.told())
	}
}

// sentBriefly sends a request whose client does not wait for the solver; what it
// has left is not answered.
func (b *boundary) sentBriefly(t *testing.T, q *walkRequest) *walkAnswer {
	t.Helper()
	q.patience = boundTime
	a := q.sent(t, b.harbour)
	if a.took < boundTime {
		a.judged(t)
	}
	return a
}

// toldAt is whether one of the faults tells the bound at its place.
func (b *bound) toldAt(pointer string, faults []FieldError) bool {
	return slices.ContainsFunc(faults, func(e FieldError) bool {
		detail, _, _ := strings.Cut(e.Detail, "; got ")
		return e.Pointer == pointer && b.told(detail)
	})
}

// faults are those the answer tells of a request that is refused.
func (a *walkAnswer) faults(t *testing.T) []FieldError {
	t.Helper()
	if a.w.Code != http.StatusBadRequest && a.w.Code != http.StatusUnprocessableEntity {
		return nil
	}
	var p Problem
	decode(t, a.plain(t), &p)
	if p.Errors == nil {
		return nil
	}
	return *p.Errors
}
