package archive

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"foldwright/storage"
)

// maxDocument is the longest version, as the service takes one.
const maxDocument = 2 << 20

// Bounds of an archive that is read, in bytes, whatever its entries claim.
type Bounds struct {
	// List is the longest list of entries, which is read whole.
	List int
	// Said is the longest manifest.json or design.json, each read whole too.
	Said int64
	// Unpacked is the longest sum of all entries.
	Unpacked uint64
}

// Uploaded bounds what anybody may send. The list is that of some 280,000
// versions, or of 700,000 entries without a name, which take 150 MB of memory.
func Uploaded() Bounds { return Bounds{List: 32 << 20, Said: 64 << 20, Unpacked: 4 << 30} }

// FromDisk bounds a file of one's own: it is to hold whatever Write writes of a
// workspace, some nine million versions.
func FromDisk() Bounds { return Bounds{List: 1 << 30, Said: 4 << 30, Unpacked: 1 << 42} }

// errList is why a list of entries is not read to its end.
var errList = errors.New("archive: the list of entries is too long")

// listing reads an archive, and its list of entries only so far. What the end of
// the archive claims of that list binds nobody.
type listing struct {
	io.ReaderAt
	left int // bytes of the list; less than nothing once it is read
}

func (l *listing) ReadAt(p []byte, off int64) (int, error) {
	if l.left >= 0 {
		if len(p) > l.left {
			return 0, errList
		}
		l.left -= len(p)
	}
	return l.ReaderAt.ReadAt(p, off)
}

// entriesOf reads the list of entries.
func entriesOf(from io.ReaderAt, size int64, most int) ([]*zip.File, error) {
	l := &listing{from, most}
	in, err := zip.NewReader(l, size)
	switch {
	case errors.Is(err, errList):
		return nil, fault("", "its list of entries is longer than %d bytes; the command import takes longer ones", most)
	case err != nil:
		return nil, fault("", "it is no whole ZIP archive")
	}
	l.left = -1
	return in.File, nil
}

// A ReadDocument reads a version, and returns what the store is to know of it.
type ReadDocument func(document []byte) (title string, tags []string, hash string, err error)

// A Fault is why an archive is not taken.
type Fault struct {
	Entry  string // empty: the archive as a whole
	Detail string
}

func (f *Fault) Error() string {
	if f.Entry == "" {
		return "archive: " + f.Detail
	}
	return "archive: " + f.Entry + ": " + f.Detail
}

func fault(entry, format string, arguments ...any) error {
	return &Fault{entry, fmt.Sprintf(format, arguments...)}
}

// An Archive was read through and found whole.
type Archive struct {
	bounds  Bounds
	entries map[string]*zip.File
	designs []held
	now     time.Time
}

// held is a design of an archive.
type held struct {
	Design
	sha256 string
	tags   []string // of the newest version, as its title
	title  string
}

// IDs are those of the designs, in order.
func (a *Archive) IDs() []string {
	ids := make([]string, len(a.designs))
	for i := range a.designs {
		ids[i] = a.designs[i].ID
	}
	return ids
}

// Read reads an archive through, at a time. Everything is held against everything:
// each entry is there once and named, each hash is that of what it is of, each
// version is a design, and what is said of it could have been said to the service.
// Nothing is unpacked. The error is a *Fault where the archive is to blame.
func Read(from io.ReaderAt, size int64, bounds Bounds, now time.Time, read ReadDocument) (*Archive, error) {
	entries, err := entriesOf(from, size, bounds.List)
	if err != nil {
		return nil, err
	}
	a := &Archive{bounds: bounds, entries: make(map[string]*zip.File, len(entries)), now: now}
	var total uint64
	for _, f := range entries {
		if _, twice := a.entries[f.Name]; twice {
			return nil, fault(f.Name, "it is there twice")
		}
		a.entries[f.Name] = f
		if total += f.UncompressedSize64; f.UncompressedSize64 > bounds.Unpacked || total > bounds.Unpacked {
			return nil, fault("", "unpacked it would be longer than %d bytes; the command import takes longer ones", bounds.Unpacked)
		}
	}
	if err := a.check(read); err != nil {
		return nil, err
	}
	return a, nil
}

func (a *Archive) check(read ReadDocument) error {
	m, err := a.manifest()
	if err != nil {
		return err
	}
	named := map[string]bool{manifestName: true}
	for _, e := range m.Designs {
		if !idForm.MatchString(e.ID) || named[designName(e.ID)] {
			return fault(manifestName, "%q is no id, or there twice", e.ID)
		}
		named[designName(e.ID)] = true
		d, err := a.design(e)
		if err != nil {
			return err
		}
		for i := range d.Versions {
			named[versionName(d.ID, i+1)] = true
			if err := a.checkVersion(d, i, read); err != nil {
				return err
			}
		}
		a.designs = append(a.designs, *d)
	}
	for name := range a.entries {
		if !named[name] {
			return fault(name, "it belongs to no design that the manifest names")
		}
	}
	return nil
}

func (a *Archive) manifest() (*Manifest, error) {
	if _, found := a.entries[backupName]; found {
		return nil, fault("", "it is a backup of everything a service keeps, which the command restore reads; export makes an archive")
	}
	var m Manifest
	text, err := a.read(manifestName, a.bounds.Said)
	if err != nil {
		return nil, err
	}
	if holdsMore(text, len(a.entries)) {
		return nil, fault(manifestName, "it lists more than the archive holds")
	}
	if err := strictly(text, &m); err != nil {
		return nil, fault(manifestName, "%v", err)
	}
	if m.Format != Format || m.Version != FormatVersion {
		return nil, fault(manifestName, "it is of the format %q %d; %q %d is read here", m.Format, m.Version, Format, FormatVersion)
	}
	return &m, nil
}

func (a *Archive) design(e Entry) (*held, error) {
	name := designName(e.ID)
	text, err := a.read(name, a.bounds.Said)
	if err != nil {
		return nil, err
	}
	if hashOf(text) != e.SHA256 {
		return nil, fault(name, "it has another SHA-256 than the manifest tells")
	}
	if holdsMore(text, len(a.entries)) {
		return nil, fault(name, "it lists more than the archive holds")
	}
	d := &held{sha256: e.SHA256}
	if err := strictly(text, &d.Design); err != nil {
		return nil, fault(name, "%v", err)
	}
	if d.ID != e.ID || len(d.Versions) == 0 {
		return nil, fault(name, "it has the id %q and %d versions; %q and at least one are needed", d.ID, len(d.Versions), e.ID)
	}
	return d, a.checkSaid(name, &d.Design)
}

// checkSaid holds what design.json says to the rules of what is stored.
func (a *Archive) checkSaid(name string, d *Design) error {
	if d.DeletedAt != nil {
		if err := storage.CheckTime(*d.DeletedAt, a.now); err != nil {
			return fault(name, "deleted_at: %s", rule(err))
		}
	}
	labels := map[string]bool{}
	for i, v := range d.Versions {
		if v.Number != i+1 {
			return fault(name, "version %d comes where %d should", v.Number, i+1)
		}
		if err := (storage.NewVersion{Message: v.Message, Author: v.Author}).Validate(); err != nil {
			return fault(name, "version %d: %s", v.Number, rule(err))
		}
		if err := storage.CheckTime(v.CreatedAt, a.now); err != nil {
			return fault(name, "version %d, created_at: %s", v.Number, rule(err))
		}
		for _, label := range v.Labels {
			if err := storage.CheckLabel(label); err != nil {
				return fault(name, "version %d, label %q: %s", v.Number, shown(label), rule(err))
			}
			if labels[label] || len(labels) == storage.MaxLabels {
				return fault(name, "the label %q is there twice, or is one of more than %d", label, storage.MaxLabels)
			}
			labels[label] = true
		}
	}
	return nil
}

// rule is what a value breaks, without what every such error says.
func rule(err error) string { return strings.TrimPrefix(err.Error(), storage.ErrInvalid.Error()+": ") }

// shown is a label that may be long.
func shown(label string) string {
	if len(label) > storage.MaxLabel {
		return strings.ToValidUTF8(label[:storage.MaxLabel], "") + "…"
	}
	return label
}

// checkVersion leaves the title and the tags of the newest, which comes last.
func (a *Archive) checkVersion(d *held, i int, read ReadDocument) error {
	v, name := d.Versions[i], versionName(d.ID, i+1)
	document, err := a.read(name, maxDocument)
	if err != nil {
		return err
	}
	if hashOf(document) != v.SHA256 {
		return fault(name, "it has another SHA-256 than design.json tells")
	}
	title, tags, hash, err := read(document)
	if err != nil {
		return fault(name, "%v", err)
	}
	if hash != v.DesignHash {
		return fault(name, "its design hash is %s, design.json tells %s", hash, v.DesignHash)
	}
	nv := storage.NewVersion{Title: title, Tags: tags, Hash: hash}
	if err := nv.Validate(); err != nil {
		return fault(name, "%v", err)
	}
	d.title, d.tags = title, tags
	return nil
}

// read reads an entry that may be so long, and no longer whatever it claims.
func (a *Archive) read(name string, most int64) ([]byte, error) {
	f, ok := a.entries[name]
	if !ok {
		return nil, fault(name, "it is missing")
	}
	in, err := f.Open()
	if err != nil {
		return nil, fault(name, "it cannot be unpacked: %v", err)
	}
	data, err := io.ReadAll(io.LimitReader(in, most+1))
	if err := errors.Join(err, in.Close()); err != nil {
		return nil, fault(name, "it cannot be unpacked: %v", err)
	}
	if int64(len(data)) > most {
		return nil, fault(name, "it is longer than %d bytes", most)
	}
	return data, nil
}

// holdsMore tells whether JSON has more tokens than the descriptions of so many
// entries need. A few bytes of it, "{}," again and again, become many of memory
// once it is read, and packed they are next to none; so they are counted first.
func holdsMore(text []byte, entries int) bool {
	decoder := json.NewDecoder(bytes.NewReader(text))
	for range 1000 + 32*entries {
		if _, err := decoder.Token(); err != nil {
			return false // of what is wrong in it, reading tells
		}
	}
	return true
}

func strictly(text []byte, into any) error {
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return err
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return errors.New("text follows the JSON")
	}
	return nil
}
