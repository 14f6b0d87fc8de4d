package main

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foldwright/api"
	"foldwright/storage"
	"foldwright/storage/archive"
	"foldwright/storage/sqlite"
	"foldwright/testdata/designs"
)

func TestExportAndImport(t *testing.T) {
	from, to := t.TempDir(), t.TempDir()
	document, _ := designs.Read("harbour")
	title, tags, hash, err := api.ReadDocument(document)
	if err != nil {
		t.Fatal(err)
	}
	db, err := sqlite.Open(t.Context(), filepath.Join(from, databaseFile), storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	made := storage.NewVersion{Title: title, Tags: tags, Document: document, Hash: hash}
	if _, _, _, err := db.In("quay").Create(t.Context(), made, storage.IdempotencyKey{}); err != nil {
		t.Fatal(err)
	}
	first := filepath.Join(t.TempDir(), "quay.zip")
	if said := succeed(t, "export", "--workspace", "quay", "--data-dir", from, first); !strings.Contains(said, "exported 1 designs") {
		t.Errorf("said %s", said)
	}
	refused(t, "is there already", "export", "--workspace", "quay", "--data-dir", from, first)
	for _, want := range []string{"imported 1 designs, 0 were there", "imported 0 designs, 1 were there"} {
		if said := succeed(t, "import", "--data-dir", to, first); !strings.Contains(said, want) {
			t.Errorf("said %s, want %s", said, want)
		}
	}
	refused(t, "new_id", "import", "--workspace", "mill", "--data-dir", to, first)
	if said := succeed(t, "import", "--workspace", "mill", "--conflicts", "new_id", "--data-dir", to, first); !strings.Contains(said, "is now") {
		t.Errorf("said %s", said)
	}
	refused(t, `no workspace "quey" in `, "export", "--workspace", "quey", "--data-dir", from, first+".2")
	refused(t, "there are local, quay", "export", "--workspace", "quey", "--data-dir", from, first+".2")
	empty := t.TempDir()
	refused(t, empty, "export", "--data-dir", empty, first+".2")
	succeed(t, "migrate", "--data-dir", empty)
	succeed(t, "export", "--data-dir", empty, filepath.Join(t.TempDir(), "empty.zip"))
	second := filepath.Join(t.TempDir(), "local.zip")
	succeed(t, "export", "--data-dir", to, second)
	a, err := os.ReadFile(first)
	if err != nil {
		t.Fatal(err)
	}
	if b, err := os.ReadFile(second); err != nil || !bytes.Equal(a, b) {
		t.Errorf("other bytes, %v", err)
	}
	if err := os.WriteFile(second, a[:len(a)-9], 0o600); err != nil {
		t.Fatal(err)
	}
	backup := filepath.Join(t.TempDir(), "harbour.backup")
	succeed(t, "backup", "--data-dir", from, backup)
	refused(t, "the command restore reads", "import", "--data-dir", to, backup)
	for _, command := range [][]string{{"restore", "--data-dir", t.TempDir()}, {"backup", "--verify"}} {
		refused(t, "the command import reads", append(command, first)...)
	}
	refused(t, "no whole ZIP archive", "import", "--data-dir", to, second)
}

// What export writes of a large workspace, import takes, however much longer
// than an upload it is: here a list of entries without names.
func TestImportTakesLongLists(t *testing.T) {
	one := make([]byte, 46) // the head of an entry, by APPNOTE.TXT 4.3.12
	copy(one, "PK\x01\x02")
	n := archive.Uploaded().List/len(one) + 1
	list := bytes.Repeat(one, n)
	end := make([]byte, 22) // 4.3.16: how many entries, modulo 65536, and how long the list is
	copy(end, "PK\x05\x06")
	binary.LittleEndian.PutUint16(end[10:], uint16(n%(1<<16)))
	binary.LittleEndian.PutUint32(end[12:], uint32(len(list)))
	file := filepath.Join(t.TempDir(), "long.zip")
	if err := os.WriteFile(file, append(list, end...), 0o600); err != nil {
		t.Fatal(err)
	}
	refused(t, "it is there twice", "import", "--data-dir", t.TempDir(), file)
}
