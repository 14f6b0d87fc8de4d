package archive

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"foldwright/storage"

	"github.com/google/uuid"
)

// A Conflict says what becomes of a design whose id belongs to another one.
type Conflict string

// Refuse imports nothing when there is one; NewID gives it another id, always
// the same for the same design and workspace, so that importing again finds it.
const (
	Refuse Conflict = "refuse"
	NewID  Conflict = "new_id"
)

// A Report tells what an import did.
type Report struct {
	Imported int
	Skipped  int // were there already, and equal
	Renamed  []Renamed
}

// Renamed is a design that was imported under another id, now or before.
type Renamed struct{ From, To string }

// ErrConflict is why an import is refused; see Taken.
var ErrConflict = errors.New("archive: ids belong to other designs")

// Taken names the designs whose ids belong to others. It is an ErrConflict.
type Taken struct{ IDs []string }

func (t *Taken) Error() string { return fmt.Sprintf("%v: %s", ErrConflict, strings.Join(t.IDs, ", ")) }

func (t *Taken) Unwrap() error { return ErrConflict }

// Import puts the designs into a workspace, each wholly or not at all; those
// that are there and equal are skipped, so an import that was cut off can be
// repeated. Conflicts are looked for before anything is written.
func (a *Archive) Import(ctx context.Context, to storage.Store, workspace string, on Conflict) (r Report, err error) {
	ids := make([]string, len(a.designs))
	var taken Taken
	for i := range a.designs {
		ids[i] = a.designs[i].ID
		_, err := a.put(ctx, to, i, ids[i], true)
		if errors.Is(err, storage.ErrTaken) && on == NewID {
			ids[i] = newID(workspace, &a.designs[i])
			r.Renamed = append(r.Renamed, Renamed{a.designs[i].ID, ids[i]})
			_, err = a.put(ctx, to, i, ids[i], true)
		}
		switch {
		case errors.Is(err, storage.ErrTaken):
			taken.IDs = append(taken.IDs, ids[i])
		case err != nil:
			return Report{}, err
		}
	}
	if len(taken.IDs) > 0 {
		return Report{}, &taken
	}
	for i := range a.designs {
		made, err := a.put(ctx, to, i, ids[i], false)
		switch {
		case errors.Is(err, storage.ErrTaken): // since it was looked for
			return r, &Taken{[]string{ids[i]}}
		case err != nil:
			return r, err
		case made:
			r.Imported++
		default:
			r.Skipped++
		}
	}
	return r, nil
}

func newID(workspace string, d *held) string {
	return uuid.NewSHA1(uuid.NameSpaceURL, []byte(strings.Join([]string{Format, workspace, d.ID, d.sha256}, "\n"))).String()
}

func (a *Archive) put(ctx context.Context, to storage.Store, i int, id string, check bool) (bool, error) {
	d := &a.designs[i]
	whole := storage.Design{
		ID: id, Title: d.title, Tags: d.tags, Version: len(d.Versions), DeletedAt: d.DeletedAt,
		CreatedAt: d.Versions[0].CreatedAt, UpdatedAt: d.Versions[len(d.Versions)-1].CreatedAt,
	}
	return to.Import(ctx, whole, func(n int) (storage.Version, error) {
		v := d.Versions[n-1]
		document, err := a.read(versionName(d.ID, n), maxDocument)
		return storage.Version{
			DesignID: id, Number: n, Document: document, Hash: v.DesignHash,
			CreatedAt: v.CreatedAt, Message: v.Message, Author: v.Author, Labels: v.Labels,
		}, err
	}, check)
}
