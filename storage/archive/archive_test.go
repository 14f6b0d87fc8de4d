package archive_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"foldwright/storage"
	"foldwright/storage/archive"
	"foldwright/storage/postgres"
	"foldwright/storage/postgres/pgtest"
	"foldwright/storage/sqlite"
)

func TestMain(m *testing.M) { os.Exit(pgtest.Run(m)) }

func inFile(t *testing.T) storage.Backend {
	t.Helper()
	s, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "harbour.db"), storage.Options{})
	must(t, err)
	t.Cleanup(func() { s.Close() })
	return s
}

func onServer(t *testing.T) storage.Backend {
	t.Helper()
	s, err := postgres.Open(t.Context(), pgtest.URL(t), storage.Options{})
	must(t, err)
	t.Cleanup(func() { s.Close() })
	return s
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// read takes every document for a design with its first word as the title.
func read(document []byte) (string, []string, string, error) {
	if !bytes.HasPrefix(document, []byte("{")) {
		return "", nil, "", errors.New("no design")
	}
	title, _, _ := strings.Cut(strings.Trim(string(document), "{}"), " ")
	return title, []string{"sea", title}, fmt.Sprintf("sha256:%x", sha256.Sum256(document)), nil
}

func version(document string) storage.NewVersion {
	title, tags, hash, _ := read([]byte(document))
	return storage.NewVersion{Title: title, Tags: tags, Document: []byte(document), Hash: hash, Message: "<&>\u2028\n", Author: "keeper"}
}

func fill(t *testing.T, s storage.Store) storage.Design {
	t.Helper()
	d, _, _, err := s.Create(t.Context(), version("{Île  \r\n}"), storage.IdempotencyKey{})
	must(t, err)
	d, _, _, err = s.AddVersion(t.Context(), d.ID, 1, version("{Phare \u0000 }"), storage.IdempotencyKey{})
	must(t, err)
	must(t, s.SetLabel(t.Context(), d.ID, 1, "as printed"))
	gone, _, _, err := s.Create(t.Context(), version("{Gull}"), storage.IdempotencyKey{})
	must(t, err)
	must(t, s.Delete(t.Context(), gone.ID, 0))
	return d
}

func write(t *testing.T, s storage.Store) []byte {
	t.Helper()
	var out bytes.Buffer
	_, err := archive.Write(t.Context(), &out, s)
	must(t, err)
	return out.Bytes()
}

func opened(t *testing.T, data []byte) *archive.Archive {
	t.Helper()
	a, err := archive.Read(bytes.NewReader(data), int64(len(data)), archive.Uploaded(), time.Now(), read)
	must(t, err)
	return a
}

// Out of one kind of database into the other and back, the archive stays the
// same to the byte.
func TestRoundTrip(t *testing.T) {
	first := inFile(t)
	fill(t, first.In("quay"))
	want := write(t, first.In("quay"))
	data := want
	for _, next := range []storage.Backend{onServer(t), inFile(t)} {
		s := next.In("mill")
		r, err := opened(t, data).Import(t.Context(), s, "mill", archive.Refuse)
		if err != nil || r.Imported != 2 || r.Skipped != 0 {
			t.Fatalf("%s: %+v, %v", next.Name(), r, err)
		}
		if r, err = opened(t, data).Import(t.Context(), s, "mill", archive.Refuse); err != nil || r.Imported != 0 || r.Skipped != 2 {
			t.Errorf("%s, again: %+v, %v", next.Name(), r, err)
		}
		if data = write(t, s); !bytes.Equal(data, want) {
			t.Fatalf("%s: other bytes", next.Name())
		}
		found, err := s.List(t.Context(), storage.Query{Search: "PHARE", Tags: []string{"sea"}, Label: "as printed"})
		if err != nil || len(found.Designs) != 1 {
			t.Errorf("%s: found %+v, %v", next.Name(), found, err)
		}
	}
	if empty := write(t, first.In("pier")); len(opened(t, empty).IDs()) != 0 {
		t.Error("nothing became something")
	}
}

func TestConflicts(t *testing.T) {
	db := inFile(t)
	s := db.In("quay")
	d := fill(t, s)
	data := write(t, s)
	_, _, _, err := s.AddVersion(t.Context(), d.ID, 2, version("{Pier}"), storage.IdempotencyKey{})
	must(t, err)
	before := write(t, s)

	_, err = opened(t, data).Import(t.Context(), s, "quay", archive.Refuse)
	taken, ok := errors.AsType[*archive.Taken](err)
	if !ok || len(taken.IDs) != 1 || taken.IDs[0] != d.ID {
		t.Fatalf("refused: %v", err)
	}
	if !bytes.Equal(write(t, s), before) {
		t.Error("written all the same")
	}
	for round, imported := range []int{1, 0} { // the second finds what the first made
		r, err := opened(t, data).Import(t.Context(), s, "quay", archive.NewID)
		if err != nil || r.Imported != imported || r.Skipped != 2-imported || len(r.Renamed) != 1 || r.Renamed[0].From != d.ID {
			t.Fatalf("round %d: %+v, %v", round, r, err)
		}
		if v, err := s.Version(t.Context(), r.Renamed[0].To, 2); err != nil || string(v.Document) != "{Phare \u0000 }" {
			t.Errorf("round %d: %+v, %v", round, v, err)
		}
	}
	// Ids belong to the whole database, and copies are told apart by workspace.
	for _, name := range []string{"mill", "pier"} {
		r, err := opened(t, data).Import(t.Context(), db.In(name), name, archive.NewID)
		if err != nil || r.Imported != 2 || len(r.Renamed) != 2 {
			t.Errorf("%s: %+v, %v", name, r, err)
		}
	}
}

// What anybody puts into an archive is refused, with the entry that is to
// blame.
func TestFaults(t *testing.T) {
	db := inFile(t)
	d := fill(t, db.In("quay"))
	whole := write(t, db.In("quay"))
	type entry struct{ name, text string }
	first := "designs/" + d.ID + "/versions/1.json"
	said := "designs/" + d.ID + "/design.json"
	replaced := func(name, old, by string) func([]entry) []entry {
		return func(list []entry) []entry {
			for i := range list {
				if list[i].name == name {
					list[i].text = strings.Replace(list[i].text, old, by, 1)
				}
			}
			return list
		}
	}
	without := func(name string) func([]entry) []entry {
		return func(list []entry) (kept []entry) {
			for _, e := range list {
				if e.name != name {
					kept = append(kept, e)
				}
			}
			return kept
		}
	}
	with := func(name, text string) func([]entry) []entry {
		return func(list []entry) []entry { return append(list, entry{name, text}) }
	}
	for why, tc := range map[string]struct {
		change func([]entry) []entry
		entry  string
	}{
		"a changed version":        {replaced(first, "le", "lo"), first},
		"a missing version":        {without(first), first},
		"a missing design.json":    {without(said), said},
		"a missing manifest":       {without("manifest.json"), "manifest.json"},
		"changed words":            {replaced(said, "keeper", "keener"), said},
		"a newer format":           {replaced("manifest.json", `"format_version": 1`, `"format_version": 2`), "manifest.json"},
		"an unknown field":         {replaced("manifest.json", `"format"`, `"more": 1, "format"`), "manifest.json"},
		"an id that is a path":     {replaced("manifest.json", d.ID, "../../etc"), "manifest.json"},
		"an entry outside":         {with("../../etc/passwd", "x"), "../../etc/passwd"},
		"an entry of no design":    {with("designs/gull/versions/1.json", "{}"), "designs/gull/versions/1.json"},
		"an entry twice":           {with(first, "{Île  \r\n}"), first},
		"a version that is a bomb": {replaced(first, "{", "{"+strings.Repeat(" ", 3<<20)), first},
	} {
		var list []entry
		for name, text := range entries(t, whole) {
			list = append(list, entry{name, text})
		}
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		for _, e := range tc.change(list) {
			to, err := w.Create(e.name)
			must(t, err)
			_, err = to.Write([]byte(e.text))
			must(t, err)
		}
		must(t, w.Close())
		_, err := archive.Read(bytes.NewReader(out.Bytes()), int64(out.Len()), archive.Uploaded(), time.Now(), read)
		if f, ok := errors.AsType[*archive.Fault](err); !ok || f.Entry != tc.entry {
			t.Errorf("%s: %v, want it of %s", why, err, tc.entry)
		}
	}
	for n := 0; n < len(whole); n += 53 {
		_, err := archive.Read(bytes.NewReader(whole[:n]), int64(n), archive.Uploaded(), time.Now(), read)
		if _, ok := errors.AsType[*archive.Fault](err); !ok {
			t.Errorf("cut at %d: %v", n, err)
		}
	}
}

// An import keeps to the rules of what is stored, and tells which is broken.
func TestRules(t *testing.T) {
	db := inFile(t)
	d := fill(t, db.In("quay"))
	whole := write(t, db.In("quay"))
	said := "designs/" + d.ID + "/design.json"
	made := d.CreatedAt.Format(time.RFC3339Nano)
	for why, tc := range map[string]struct{ old, by, rule string }{
		"a long message":   {`"message": "`, `"message": "` + strings.Repeat("a", 500), "version 1: a message is text of up to 500 characters"},
		"a long author":    {`"author": "`, `"author": "` + strings.Repeat("a", 100), "version 1: an author is text of up to 100 characters"},
		"an author's line": {`"author": "`, `"author": "\n`, "version 1: an author is text"},
		"a long label":     {`"as printed"`, `"` + strings.Repeat("a", 61) + `"`, "a label is text of 1 to 60 characters"},
		"a label of dots":  {`"as printed"`, `".."`, `label "..": a label is text`},
		"a label twice":    {`"as printed"`, `"proof", "proof"`, `the label "proof" is there twice`},
		"a time long ago":  {made, "0001-01-01T00:00:00Z", "version 1, created_at: 0001-01-01T00:00:00Z is not a time from 1970 to now"},
		"a time to come":   {made, "9999-01-01T00:00:00Z", "version 1, created_at: 9999"},
		"deleted to come":  {`"tags"`, `"deleted_at": "2999-01-01T00:00:00Z", "tags"`, "deleted_at: 2999"},
	} {
		text := entries(t, whole)
		before := text[said]
		text[said] = strings.Replace(before, tc.old, tc.by, 1)
		hash := func(s string) string { return fmt.Sprintf("%x", sha256.Sum256([]byte(s))) }
		text["manifest.json"] = strings.Replace(text["manifest.json"], hash(before), hash(text[said]), 1)
		data := zipped(t, text)
		_, err := archive.Read(bytes.NewReader(data), int64(len(data)), archive.Uploaded(), time.Now(), read)
		if f, ok := errors.AsType[*archive.Fault](err); !ok || f.Entry != said || !strings.Contains(f.Detail, tc.rule) {
			t.Errorf("%s: %v, want %q of %s", why, err, tc.rule, said)
		}
	}
}

func entries(t *testing.T, data []byte) map[string]string {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	must(t, err)
	text := map[string]string{}
	for _, f := range in.File {
		r, err := f.Open()
		must(t, err)
		all, err := io.ReadAll(r)
		must(t, err)
		text[f.Name] = string(all)
	}
	return text
}

func zipped(t *testing.T, text map[string]string) []byte {
	t.Helper()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for name, s := range text {
		to, err := w.Create(name)
		must(t, err)
		_, err = io.WriteString(to, s)
		must(t, err)
	}
	must(t, w.Close())
	return out.Bytes()
}

// A list of entries costs memory before any of them is looked at, and what the
// archive says of its length need not be true.
func TestLongList(t *testing.T) {
	one := make([]byte, 46) // the head of an entry without a name, by APPNOTE.TXT 4.3.12
	copy(one, "PK\x01\x02")
	const n = 800_000
	list := bytes.Repeat(one, n)
	end := make([]byte, 22) // 4.3.16: how many entries, modulo 65536, and how long the list is
	copy(end, "PK\x05\x06")
	binary.LittleEndian.PutUint16(end[10:], n%(1<<16))
	binary.LittleEndian.PutUint32(end[12:], uint32(len(list)))
	data := append(list, end...)
	_, err := archive.Read(bytes.NewReader(data), int64(len(data)), archive.Uploaded(), time.Now(), read)
	if f, ok := errors.AsType[*archive.Fault](err); !ok || !strings.Contains(f.Detail, "list of entries is longer than 33554432 bytes") {
		t.Error(err)
	}
}

// Each bound is the longest that is taken.
func TestBounds(t *testing.T) {
	db := inFile(t)
	d := fill(t, db.In("quay"))
	data := write(t, db.In("quay"))
	all, unpacked := entries(t, data), 0
	longest := len(all["manifest.json"])
	for name, text := range all {
		unpacked += len(text)
		if strings.HasSuffix(name, "design.json") {
			longest = max(longest, len(text))
		}
	}
	within := func(b archive.Bounds) error {
		_, err := archive.Read(bytes.NewReader(data), int64(len(data)), b, time.Now(), read)
		return err
	}
	exact := archive.Bounds{List: len(data), Said: int64(longest), Unpacked: uint64(unpacked)}
	must(t, within(exact))
	for why, change := range map[string]func(*archive.Bounds){
		"list of entries is longer than 60":              func(b *archive.Bounds) { b.List = 60 },
		"designs/" + d.ID + "/design.json: it is longer": func(b *archive.Bounds) { b.Said-- },
		"unpacked it would be longer":                    func(b *archive.Bounds) { b.Unpacked-- },
	} {
		b := exact
		change(&b)
		if err := within(b); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%v, want %q", err, why)
		}
	}
}

// Packed a thousandfold, lists of empty objects would take gigabytes once read.
func TestBombs(t *testing.T) {
	empty := "[" + strings.Repeat("{},", 1000) + "{}]"
	designs := `{"format": "foldwright-workspace", "format_version": 1, "designs": `
	quay := `{"id": "quay", "title": "{", "tags": [], "versions": ` + empty + "}"
	named := fmt.Sprintf(`[{"id": "quay", "sha256": "%x"}]}`, sha256.Sum256([]byte(quay)))
	for _, tc := range []struct{ manifest, entry string }{
		{designs + empty + "}", "manifest.json"},
		{designs + "[" + strings.Repeat("0,", 2000) + "0]}", "manifest.json"},
		{strings.Repeat("[", 2000), "manifest.json"},
		{designs + named, "designs/quay/design.json"},
	} {
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		for _, e := range []struct{ name, text string }{{"manifest.json", tc.manifest}, {"designs/quay/design.json", quay}} {
			to, err := w.Create(e.name)
			must(t, err)
			_, err = io.WriteString(to, e.text)
			must(t, err)
		}
		must(t, w.Close())
		_, err := archive.Read(bytes.NewReader(out.Bytes()), int64(out.Len()), archive.Uploaded(), time.Now(), read)
		if f, ok := errors.AsType[*archive.Fault](err); !ok || f.Entry != tc.entry || f.Detail != "it lists more than the archive holds" {
			t.Errorf("%v, want it of %s", err, tc.entry)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("PK"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if a, err := archive.Read(bytes.NewReader(data), int64(len(data)), archive.Uploaded(), time.Now(), read); err == nil {
			a.IDs()
		} else if _, ok := errors.AsType[*archive.Fault](err); !ok {
			t.Errorf("%v", err)
		}
	})
}
