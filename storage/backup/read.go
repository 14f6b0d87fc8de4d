package backup

import (
	"archive/zip"
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
)

// What is wrong with a backup, or with where it shall go.
var (
	ErrDamaged  = errors.New("backup: the file is damaged")
	ErrNoBackup = errors.New("backup: the file is no backup that this release reads")
	ErrNotEmpty = errors.New("backup: the database is not empty; restore into a new one")
)

// A File is a backup that was read through and found whole.
type File struct {
	Manifest
	file    *os.File
	archive *zip.Reader
}

// Open reads a backup through. Every entry must be there once, with the rows
// and the hash that the manifest tells. ErrDamaged, ErrNoBackup.
func Open(path string) (*File, error) {
	in, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	f := &File{file: in}
	size, err := in.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	if f.archive, err = zip.NewReader(in, size); err != nil {
		return nil, errors.Join(fmt.Errorf("%w: it is no whole ZIP archive: %w", ErrDamaged, err), f.Close())
	}
	if err := f.check(); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// Close frees the file.
func (f *File) Close() error { return f.file.Close() }

func (f *File) check() error {
	if err := f.readManifest(); err != nil {
		return err
	}
	names := []string{manifestName}
	for i := range f.Tables {
		t := &f.Tables[i]
		if err := t.checkNames(); err != nil {
			return err
		}
		names = append(names, entryName(t.Name))
		if err := f.checkTable(t); err != nil {
			return err
		}
	}
	found := []string{}
	for _, entry := range f.archive.File {
		found = append(found, entry.Name)
	}
	if slices.Sort(names); !slices.Equal(names, slices.Sorted(slices.Values(found))) {
		return fmt.Errorf("%w: it holds the entries %q, the manifest names %q", ErrDamaged, found, names)
	}
	return nil
}

// archiveName is the entry by which a file of package archive is known.
const archiveName = "manifest.json"

// maxManifest is far more than the tables of any release need.
const maxManifest = 1 << 20

func (f *File) readManifest() error {
	if slices.ContainsFunc(f.archive.File, func(e *zip.File) bool { return e.Name == archiveName }) {
		return fmt.Errorf("%w: it is an archive of the designs of one workspace, which the command import reads", ErrNoBackup)
	}
	in, err := f.archive.Open(manifestName)
	if err != nil {
		return fmt.Errorf("%w: it has no %s", ErrNoBackup, manifestName)
	}
	defer func() { _ = in.Close() }()
	text, err := io.ReadAll(io.LimitReader(in, maxManifest))
	if err != nil {
		return fmt.Errorf("%w: %s: %w", ErrDamaged, manifestName, err)
	}
	if err := json.Unmarshal(text, &f.Manifest); err != nil || f.Format != Format {
		return fmt.Errorf("%w: %s is not one of a backup", ErrNoBackup, manifestName)
	}
	if f.Version != FormatVersion {
		return fmt.Errorf("%w: it has the form %d, this release reads %d", ErrNoBackup, f.Version, FormatVersion)
	}
	return nil
}

// identifier is what may stand in a statement.
var identifier = regexp.MustCompile(`^[a-z][a-z_]{0,62}$`)

func (w *Written) checkNames() error {
	known := slices.ContainsFunc(Tables, func(t Table) bool { return t.Name == w.Name })
	for _, c := range w.Columns {
		known = known && identifier.MatchString(c.Name)
	}
	if !known {
		return fmt.Errorf("%w: this release knows no such table as %q", ErrNoBackup, w.Name)
	}
	return nil
}

func (f *File) checkTable(t *Written) error {
	sum := sha256.New()
	var rows int64
	err := f.rows(t, sum, func([]json.RawMessage) error { rows++; return nil })
	switch {
	case err != nil:
		return fmt.Errorf("%w: table %s: %w", ErrDamaged, t.Name, err)
	case rows != t.Rows:
		return fmt.Errorf("%w: table %s has %d rows, and had %d", ErrDamaged, t.Name, rows, t.Rows)
	case hex.EncodeToString(sum.Sum(nil)) != t.SHA256:
		return fmt.Errorf("%w: table %s is not what was written", ErrDamaged, t.Name)
	}
	return nil
}

// rows reads a table and hands on each row.
func (f *File) rows(t *Written, copied io.Writer, each func([]json.RawMessage) error) error {
	in, err := f.archive.Open(entryName(t.Name))
	if err != nil {
		return err
	}
	defer func() { _ = in.Close() }()
	lines := bufio.NewReaderSize(io.TeeReader(in, copied), 1<<16)
	for {
		line, err := lines.ReadBytes('\n')
		if errors.Is(err, io.EOF) && len(line) == 0 {
			return nil
		}
		if err != nil {
			return err
		}
		var row []json.RawMessage
		if err := json.Unmarshal(line, &row); err != nil {
			return err
		}
		if len(row) != len(t.Columns) {
			return fmt.Errorf("a row has %d values for %d columns", len(row), len(t.Columns))
		}
		if err := each(row); err != nil {
			return err
		}
	}
}

// SameAs compares what a backup holds with what came out of the database it was
// restored into. After a migration only the numbers of rows can be compared.
func (f *File) SameAs(again *Manifest) error {
	for i := range f.Tables {
		t := &f.Tables[i]
		j := slices.IndexFunc(again.Tables, func(o Written) bool { return o.Name == t.Name })
		if j < 0 || again.Tables[j].Rows != t.Rows || f.Schema == again.Schema && again.Tables[j].SHA256 != t.SHA256 {
			return fmt.Errorf("%w: table %s is restored as something else", ErrDamaged, t.Name)
		}
	}
	return nil
}
