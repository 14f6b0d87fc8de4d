package backup

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"foldwright/storage"
)

// Format and FormatVersion tell a backup from other archives.
const (
	Format        = "foldwright-backup"
	FormatVersion = 1
)

// A Manifest is what backup.json says.
type Manifest struct {
	Format  string    `json:"format"`
	Version int       `json:"format_version"`
	Schema  int64     `json:"schema"` // of the database that was backed up
	MadeAt  time.Time `json:"made_at"`
	Tables  []Written `json:"tables"`
}

// Written is what is in the entry of a table.
type Written struct {
	Table
	Rows   int64  `json:"rows"`
	SHA256 string `json:"sha256"`
}

// A Source is a database that can be backed up while it is worked with.
type Source interface {
	storage.Backend

	// Backup writes everything as it was at one moment after the call began:
	// all that was acknowledged before, and nothing half.
	Backup(ctx context.Context, w io.Writer) (*Manifest, error)
}

// Rows is how many a table has.
func (m *Manifest) Rows(table string) int64 {
	for i := range m.Tables {
		if m.Tables[i].Name == table {
			return m.Tables[i].Rows
		}
	}
	return 0
}

const manifestName = "backup.json"

func entryName(table string) string { return "tables/" + table + ".jsonl" }

// Write writes what a transaction sees, which must be of one moment.
func Write(ctx context.Context, w io.Writer, tx *sql.Tx, d *Dialect, schema int64, now time.Time) (*Manifest, error) {
	m := &Manifest{Format: Format, Version: FormatVersion, Schema: schema, MadeAt: now}
	archive := zip.NewWriter(w)
	for _, t := range Tables {
		entry, err := archive.CreateHeader(&zip.FileHeader{Name: entryName(t.Name), Method: zip.Deflate, Modified: now})
		if err != nil {
			return nil, err
		}
		written, err := writeTable(ctx, entry, tx, d, t)
		if err != nil {
			return nil, fmt.Errorf("table %s: %w", t.Name, err)
		}
		m.Tables = append(m.Tables, written)
	}
	entry, err := archive.CreateHeader(&zip.FileHeader{Name: manifestName, Method: zip.Deflate, Modified: now})
	if err != nil {
		return nil, err
	}
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, err
	}
	if _, err := entry.Write(append(text, '\n')); err != nil {
		return nil, err
	}
	return m, archive.Close()
}

func writeTable(ctx context.Context, to io.Writer, tx *sql.Tx, d *Dialect, t Table) (Written, error) {
	found, err := tx.QueryContext(ctx, d.selects(&t))
	if err != nil {
		return Written{}, err
	}
	defer found.Close()
	sum := sha256.New()
	out := bufio.NewWriter(io.MultiWriter(to, sum))
	w := Written{Table: t}
	for found.Next() {
		line, err := writeRow(found, t.Columns)
		if err != nil {
			return Written{}, err
		}
		if _, err := out.Write(line); err != nil {
			return Written{}, err
		}
		w.Rows++
	}
	if err := found.Err(); err != nil {
		return Written{}, err
	}
	err = out.Flush()
	w.SHA256 = hex.EncodeToString(sum.Sum(nil))
	return w, err
}

func writeRow(found *sql.Rows, columns []Column) ([]byte, error) {
	cells, into := make([]cell, len(columns)), make([]any, len(columns))
	for i, c := range columns {
		cells[i].kind = c.Kind
		into[i] = cells[i].into()
	}
	if err := found.Scan(into...); err != nil {
		return nil, err
	}
	values := make([]any, len(columns))
	for i := range cells {
		var err error
		if values[i], err = cells[i].value(); err != nil {
			return nil, fmt.Errorf("column %s: %w", columns[i].Name, err)
		}
	}
	var line bytes.Buffer
	encoder := json.NewEncoder(&line)
	encoder.SetEscapeHTML(false)
	err := encoder.Encode(values)
	return line.Bytes(), err
}
