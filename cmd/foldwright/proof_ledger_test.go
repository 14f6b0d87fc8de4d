//go:build linux

package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"testing"
	"time"
)

// check looks for everything that was acknowledged. A change whose outcome is
// not known may have happened or not, and nothing else may.
func (l *ledger) check(url string) {
	l.t.Helper()
	l.url.Store(&url)
	for _, w := range l.writers {
		for _, d := range w.designs {
			w.checkNewest(d)
		}
	}
}

// checkNewest holds the newest version of a design to what its writer knows.
func (w *writer) checkNewest(d *kept) {
	open := w.pending != nil && w.pending.of == d
	answer, body := w.get("/v1/designs/" + d.id)
	gone := answer.StatusCode == http.StatusGone
	switch {
	case gone && (d.deleted || open && w.pending.method == "DELETE"):
		return
	case gone || d.deleted && !open:
		w.t.Errorf("%s: deleted %v, and answered with %d", d.id, d.deleted, answer.StatusCode)
		return
	}
	tag := answer.Header.Get("ETag")
	if tag == d.tag() && d.holds(w.t, len(d.hashes), body) {
		return
	}
	if open && (w.pending.bytes == hashed(string(body)) || w.pending.method == "PATCH") {
		after := &kept{id: d.id, hashes: append(append([]string{}, d.hashes...), canonical(w.t, string(body)))}
		if tag == after.tag() {
			return
		}
	}
	w.t.Errorf("%s: tag %s where %s was acknowledged, with %s", d.id, tag, d.tag(), body)
}

// checkAll holds everything that is stored to what was acknowledged, when no
// outcome is unknown any more: every version of every design with its document,
// no other design, what the workspace counts, and every job done.
func (l *ledger) checkAll() (versions int) {
	l.t.Helper()
	var bytes, live int
	known := map[string]bool{}
	for _, w := range l.writers {
		if w.pending != nil {
			l.t.Fatalf("%s waits for an answer to %s %s", w.name, w.pending.method, w.pending.path)
		}
		for _, d := range w.designs {
			known[d.id] = d.deleted
			if !d.deleted {
				live++
			}
		}
	}
	l.checkListed(known)
	for _, w := range l.writers {
		for _, d := range w.designs {
			bytes += w.checkVersions(d)
			versions += len(d.hashes)
		}
	}
	var workspace struct {
		Usage struct{ Designs, Versions, Bytes int }
	}
	l.read("/v1/workspace", &workspace)
	// Deleted designs were brought back to look at their versions.
	if u := workspace.Usage; u.Designs != len(known) || u.Versions != versions || u.Bytes != bytes {
		l.t.Errorf("the workspace counts %+v where there are %d designs, %d versions and %d bytes", u, len(known), versions, bytes)
	}
	l.checkJobs()
	return versions
}

// checkListed holds the lists of designs to those that were made.
func (l *ledger) checkListed(known map[string]bool) {
	found := 0
	for _, deleted := range []bool{false, true} {
		for _, id := range l.list(fmt.Sprintf("/v1/designs?limit=100&deleted=%v", deleted), "designs") {
			found++
			if was, made := known[id]; !made || was != deleted {
				l.t.Errorf("%s is listed, deleted %v; made %v, deleted %v", id, deleted, made, was)
			}
		}
	}
	if found != len(known) {
		l.t.Errorf("%d designs are listed, %d were made", found, len(known))
	}
}

// checkVersions reads every version of a design and returns their bytes.
func (w *writer) checkVersions(d *kept) (bytes int) {
	if d.deleted {
		if answer, body, err := w.send("POST", "/v1/designs/"+d.id+"/restore", "", nil, ""); err != nil || answer.StatusCode != http.StatusOK {
			w.t.Errorf("restore %s: %v %s", d.id, err, body)
			return 0
		}
		d.deleted = false
	}
	w.checkNewest(d)
	number := len(d.hashes)
	next := "/v1/designs/" + d.id + "/versions?limit=100"
	for next != "" {
		var page struct {
			Versions []record
			Next     string
		}
		w.read(next, &page)
		for _, v := range page.Versions {
			if number == 0 || v.Version != number || v.Hash != d.hashes[number-1] {
				w.t.Errorf("%s lists version %d with %s where %d was to come", d.id, v.Version, v.Hash, number)
				return bytes
			}
			number--
		}
		next = page.Next
		if next != "" {
			next = "/v1/designs/" + d.id + "/versions?limit=100&cursor=" + url.QueryEscape(next)
		}
	}
	if number != 0 {
		w.t.Errorf("%s: versions up to %d are missing", d.id, number)
	}
	for n := 1; n <= len(d.hashes); n++ {
		_, body := w.get(fmt.Sprintf("/v1/designs/%s/versions/%d", d.id, n))
		if !d.holds(w.t, n, body) {
			w.t.Errorf("%s version %d is not what was acknowledged: %.100s", d.id, n, body)
		}
		bytes += len(body)
	}
	return bytes
}

// checkJobs waits for every job that was queued, and finds no other.
func (l *ledger) checkJobs() {
	queued := map[string]bool{}
	for _, w := range l.writers {
		for _, id := range w.jobs {
			if queued[id] {
				l.t.Errorf("job %s was given to two requests", id)
			}
			queued[id] = true
		}
	}
	for _, id := range l.list("/v1/jobs?limit=100", "jobs") {
		if !queued[id] {
			l.t.Errorf("job %s was queued by nobody", id)
		}
	}
	deadline := time.Now().Add(2 * time.Minute)
	for id := range queued {
		var job struct{ State string }
		for {
			l.read("/v1/jobs/"+id, &job)
			if job.State != "queued" && job.State != "running" || time.Now().After(deadline) {
				break
			}
			time.Sleep(50 * time.Millisecond)
		}
		if job.State != "done" {
			l.t.Errorf("job %s is %s", id, job.State)
		}
	}
}

func (l *ledger) list(from, member string) (ids []string) {
	l.t.Helper()
	for next := from; next != ""; {
		var page map[string]json.RawMessage
		l.read(next, &page)
		var items []struct{ ID string }
		if err := json.Unmarshal(page[member], &items); err != nil {
			l.t.Fatal(err)
		}
		for _, item := range items {
			ids = append(ids, item.ID)
		}
		var cursor string
		if json.Unmarshal(page["next"], &cursor); cursor == "" {
			return ids
		}
		next = from + "&cursor=" + url.QueryEscape(cursor)
	}
	return ids
}

func (l *ledger) read(path string, into any) {
	l.t.Helper()
	answer, body := l.get(path)
	if err := json.Unmarshal(body, into); err != nil || answer.StatusCode != http.StatusOK {
		l.t.Fatalf("%s: %d %v %s", path, answer.StatusCode, err, body)
	}
}

func (l *ledger) get(path string) (*reply, []byte) {
	l.t.Helper()
	answer, body, err := l.send("GET", path, "", nil, "")
	if err != nil {
		l.t.Fatalf("%s: %v", path, err)
	}
	return answer, body
}

// tell is what a proof did, for whoever looks.
func (l *ledger) tell(t *testing.T, rounds, versions int) {
	designs, jobs := 0, 0
	for _, w := range l.writers {
		designs += len(w.designs)
		jobs += len(w.jobs)
	}
	t.Logf("%d rounds: %d changes acknowledged, %d sent again, %d of them made before, %d refused; %d designs with %d versions and %d jobs are there",
		rounds, l.acked.Load(), l.repeated.Load(), l.replayed.Load(), l.refusals.Load(), designs, versions, jobs)
}
