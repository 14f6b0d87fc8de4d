//go:build linux

package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"net"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/anishathalye/porcupine"
)

// asked is a call to one design.
type asked struct {
	design  int
	verb    string // get, put, patch, delete or restore
	version int    // that If-Match names; 0 is whatever is newest
	title   string // of the version it makes, unlike any other
}

// told is the answer to a call. Status 0 is none: it may have happened or not,
// and may still.
type told struct {
	status, version int
	title           string
}

// head is a design as its contract describes it.
type head struct {
	version int
	title   string
	deleted bool
}

// versionsContract is what the spec promises of a design that many change at
// once, as if they did so one after the other.
var versionsContract = porcupine.NondeterministicModel{
	Partition: func(history []porcupine.Operation) [][]porcupine.Operation {
		parts := map[int][]porcupine.Operation{}
		for _, o := range history {
			d := o.Input.(asked).design
			parts[d] = append(parts[d], o)
		}
		var list [][]porcupine.Operation
		for _, part := range parts {
			list = append(list, part)
		}
		return list
	},
	Init: func() []any { return []any{head{version: 1}} },
	Step: func(state, input, output any) []any {
		before, after := state.(head), output.(told)
		now, answer := apply(before, input.(asked))
		switch {
		case after.status == 0 && now == before:
			return []any{before}
		case after.status == 0:
			return []any{before, now}
		case answer == after:
			return []any{now}
		}
		return nil
	},
}

// apply is one call on a design nobody else uses.
func apply(h head, a asked) (head, told) {
	if a.verb == "restore" {
		h.deleted = false
		return h, told{200, h.version, h.title}
	}
	switch {
	case h.deleted:
		return h, told{status: 410}
	case a.verb == "get":
		return h, told{200, h.version, h.title}
	case a.version != 0 && a.version != h.version:
		return h, told{status: 412}
	case a.verb == "delete":
		h.deleted = true
		return h, told{status: 200}
	}
	h.version, h.title = h.version+1, a.title
	return h, told{200, h.version, h.title}
}

// caller sends calls to any of several replicas and writes down what it saw.
type caller struct {
	*ledger  // for sending
	replicas []*atomic.Pointer[string]
	ids      []string
	start    time.Time
	random   *rand.Rand
	number   int
	tags     map[int]map[int]string // of a design's versions
	last     map[int]int            // version seen last
	history  []porcupine.Operation
}

func (c *caller) call(n int) {
	a := asked{design: c.random.IntN(len(c.ids)), title: fmt.Sprintf("%d.%d", c.number, n)}
	a.verb = []string{"get", "get", "put", "put", "put", "patch", "patch", "delete", "restore", "restore"}[c.random.IntN(10)]
	if a.verb != "get" && a.verb != "restore" && c.random.IntN(4) > 0 {
		a.version = c.last[a.design]
	}
	began := time.Since(c.start)
	t, sent := c.ask(a)
	if !sent {
		return
	}
	ended := int64(time.Since(c.start))
	if t.status == 0 {
		ended = math.MaxInt64
	}
	c.history = append(c.history, porcupine.Operation{ClientId: c.number, Input: a, Output: t, Call: int64(began), Return: ended})
}

// ask sends a call; what never reached a replica was not sent.
func (c *caller) ask(a asked) (t told, sent bool) {
	path, header, body := "/v1/designs/"+c.ids[a.design], map[string]string{}, ""
	method := map[string]string{"get": "GET", "put": "PUT", "patch": "PATCH", "delete": "DELETE", "restore": "POST"}[a.verb]
	switch a.verb {
	case "put":
		body = titled(a.title)
		header["Content-Type"] = "application/json"
	case "patch":
		body = fmt.Sprintf(`{"title":%q}`, a.title)
		header["Content-Type"] = "application/merge-patch+json"
	case "restore":
		path += "/restore"
	}
	if a.version != 0 {
		header["If-Match"] = c.tags[a.design][a.version]
	} else if a.verb == "put" || a.verb == "patch" {
		header["If-Match"] = "*"
	}
	replica := c.replicas[c.random.IntN(len(c.replicas))]
	answer, got, err := sendTo(*replica.Load(), method, path, body, header, "")
	if failed, ok := errors.AsType[*net.OpError](err); ok && failed.Op == "dial" {
		time.Sleep(5 * time.Millisecond)
		return told{}, false
	}
	if err != nil || refusal(answer) {
		return told{}, true
	}
	t.status = answer.StatusCode
	if t.status != 200 {
		if !slices.Contains([]int{410, 412}, t.status) {
			c.t.Errorf("%s %s: %d %s", method, path, t.status, got)
		}
		return t, true
	}
	if a.verb == "delete" {
		return t, true
	}
	var made struct{ Title string }
	tag := answer.Header.Get("ETag")
	if _, err := fmt.Sscanf(strings.Trim(tag, `"`), "%d-", &t.version); err != nil || json.Unmarshal(got, &made) != nil {
		c.t.Errorf("%s %s: tag %s, %s", method, path, tag, got)
	}
	t.title = made.Title
	if c.tags[a.design] == nil {
		c.tags[a.design] = map[int]string{}
	}
	c.tags[a.design][t.version], c.last[a.design] = tag, t.version
	return t, true
}

func titled(title string) string {
	return fmt.Sprintf(`{"title":%q,"spread":{"page_width":120,"page_height":160}}`, title)
}

// What many clients see of a few designs, through several replicas of which
// now and then one is killed, is what they could have seen one after the other.
func TestProofVersionsAreLinearizable(t *testing.T) {
	rounds := proofRounds(t, 2)
	onEach(t, func(t *testing.T, database string) {
		t.Parallel()
		number := 1
		if isURL(database) {
			number = 3
		}
		replicas, processes := make([]*atomic.Pointer[string], number), make([]*process, number)
		for i := range processes {
			processes[i] = startProcess(t, database)
			replicas[i] = &atomic.Pointer[string]{}
			replicas[i].Store(&processes[i].url)
		}
		calls, open := 0, 0
		for round := range rounds {
			history := prove(t, round, replicas, func() {
				if number == 1 {
					return
				}
				i := round % number
				time.Sleep(300 * time.Millisecond)
				processes[i].kill()
				processes[i] = startProcess(t, database)
				replicas[i].Store(&processes[i].url)
			})
			calls += len(history)
			for _, o := range history {
				if o.Output.(told).status == 0 {
					open++
				}
			}
			switch porcupine.CheckOperationsTimeout(versionsContract.ToModel(), history, 2*time.Minute) {
			case porcupine.Illegal:
				t.Fatalf("round %d is not linearizable: %s", round, firstFault(history))
			case porcupine.Unknown:
				t.Errorf("round %d was not decided in time", round)
			}
			if porcupine.CheckOperations(versionsContract.ToModel(), doctored(t, history)) {
				t.Errorf("round %d: a history with a lost version passes", round)
			}
		}
		t.Logf("%d rounds: %d calls to %d replicas, %d of them without an answer", rounds, calls, number, open)
	})
}

// prove makes a history of calls by many clients on designs of their own.
func prove(t *testing.T, round int, replicas []*atomic.Pointer[string], meanwhile func()) (history []porcupine.Operation) {
	const designs, callers, calls = 5, 10, 60
	ids := make([]string, designs)
	l := &ledger{t: t, url: atomic.Pointer[string]{}}
	l.url.Store(replicas[0].Load())
	first := map[int]map[int]string{}
	for i := range ids {
		answer, body, err := l.send("POST", "/v1/designs", titled(""), map[string]string{"Content-Type": "application/json"}, "")
		var made struct{ ID string }
		if err != nil || json.Unmarshal(body, &made) != nil || made.ID == "" {
			t.Fatalf("%v %s", err, body)
		}
		ids[i] = made.ID
		first[i] = map[int]string{1: answer.Header.Get("ETag")}
	}
	start := time.Now()
	all := make([]*caller, callers)
	var group sync.WaitGroup
	for i := range all {
		c := &caller{ledger: l, replicas: replicas, ids: ids, start: start, random: rand.New(rand.NewPCG(uint64(round), uint64(i))),
			number: i, tags: map[int]map[int]string{}, last: map[int]int{}}
		for d := range ids {
			c.tags[d], c.last[d] = map[int]string{1: first[d][1]}, 1
		}
		all[i] = c
		group.Go(func() {
			for n := range calls {
				c.call(n)
			}
		})
	}
	meanwhile()
	group.Wait()
	for _, c := range all {
		history = append(history, c.history...)
	}
	return history
}

// doctored is a history with one change that was acknowledged and then lost: a
// later reader is told of the version before.
func doctored(t *testing.T, history []porcupine.Operation) []porcupine.Operation {
	t.Helper()
	for _, o := range history {
		in, out := o.Input.(asked), o.Output.(told)
		if in.verb == "put" && out.status == 200 {
			for j, later := range history {
				seen := later.Output.(told)
				if later.Input.(asked).design == in.design && later.Input.(asked).verb == "get" && seen.version == out.version && later.Call > o.Return {
					changed := slices.Clone(history)
					changed[j].Output = told{200, seen.version - 1, seen.title}
					return changed
				}
			}
		}
	}
	t.Fatal("no version was read after it was made")
	return nil
}

// firstFault tells of the design whose history is not linearizable, up to the
// answer that shows it.
func firstFault(history []porcupine.Operation) string {
	for _, part := range versionsContract.Partition(history) {
		if porcupine.CheckOperations(versionsContract.ToModel(), part) {
			continue
		}
		slices.SortFunc(part, func(a, b porcupine.Operation) int { return cmp.Compare(a.Return, b.Return) })
		n := 1
		for n < len(part) && porcupine.CheckOperations(versionsContract.ToModel(), seenAt(part, part[n-1].Return)) {
			n++
		}
		var text strings.Builder
		for _, o := range part[max(0, n-25):n] {
			fmt.Fprintf(&text, "\n%8.3f to %8.3f ms, client %d: %+v gives %+v", float64(o.Call)/1e6, float64(o.Return)/1e6, o.ClientId, o.Input, o.Output)
		}
		return text.String()
	}
	return "in no design alone"
}

// seenAt is a history as it was at a time: calls that were under way then have
// no answer.
func seenAt(history []porcupine.Operation, at int64) (seen []porcupine.Operation) {
	for _, o := range history {
		if o.Call > at {
			continue
		}
		if o.Return > at {
			o.Return, o.Output = math.MaxInt64, told{}
		}
		seen = append(seen, o)
	}
	return seen
}
