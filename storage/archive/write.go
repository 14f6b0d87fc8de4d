package archive

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"time"

	"foldwright/storage"
)

// Write writes every design of a workspace, live or deleted, as all were at one
// moment. What was written when it fails is no archive.
func Write(ctx context.Context, w io.Writer, from storage.Store) (*Manifest, error) {
	out := zip.NewWriter(w)
	m := &Manifest{Format: Format, Version: FormatVersion, Designs: []Entry{}}
	err := from.Export(ctx, func(d storage.Design, version storage.VersionOf) error {
		entry, err := writeDesign(out, d, version)
		m.Designs = append(m.Designs, entry)
		return err
	})
	if err != nil {
		return nil, err
	}
	text, err := encoded(m)
	if err != nil {
		return nil, err
	}
	if err := writeEntry(out, manifestName, text); err != nil {
		return nil, err
	}
	return m, out.Close()
}

func writeDesign(out *zip.Writer, d storage.Design, version storage.VersionOf) (Entry, error) {
	said := Design{ID: d.ID, Title: d.Title, Tags: d.Tags, DeletedAt: d.DeletedAt}
	for n := 1; n <= d.Version; n++ {
		v, err := version(n)
		if err != nil {
			return Entry{}, err
		}
		said.Versions = append(said.Versions, Version{
			Number: n, CreatedAt: v.CreatedAt, Message: v.Message, Author: v.Author,
			Labels: append([]string{}, v.Labels...), DesignHash: v.Hash, SHA256: hashOf(v.Document),
		})
		if err := writeEntry(out, versionName(d.ID, n), v.Document); err != nil {
			return Entry{}, err
		}
	}
	text, err := encoded(said)
	if err != nil {
		return Entry{}, err
	}
	return Entry{d.ID, hashOf(text)}, writeEntry(out, designName(d.ID), text)
}

// writeEntry tells no time but earliest.
func writeEntry(out *zip.Writer, name string, data []byte) error {
	entry, err := out.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: earliest})
	if err != nil {
		return err
	}
	_, err = entry.Write(data)
	return err
}

func encoded(v any) ([]byte, error) {
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	err := encoder.Encode(v)
	return text.Bytes(), err
}

// earliest is the first day that ZIP can tell: equal contents give equal bytes,
// and other programs a date there is.
var earliest = time.Date(1980, time.January, 1, 0, 0, 0, 0, time.UTC)
