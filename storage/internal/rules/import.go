package rules

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"foldwright/storage"
)

// maxIDBytes is the longest id of a design that is imported.
const maxIDBytes = 64

// errChecked ends the transaction of an import that is only checked.
var errChecked = errors.New("rules: nothing is to be written")

// Import is the rule of storage.Store.Import.
func Import(ctx context.Context, atomically Atomically, o storage.Options, d storage.Design, version storage.VersionOf, check bool) (made bool, err error) {
	err = atomically(ctx, func(tx Tx) error {
		made = false
		if d.ID == "" || len(d.ID) > maxIDBytes || !storage.ValidText(d.ID) || d.Version < 1 {
			return fmt.Errorf("%w: the id or the number of versions", storage.ErrInvalid)
		}
		if err := checkTimes(d, o.Now()); err != nil {
			return err
		}
		here, err := tx.LockDesign(ctx, d.ID)
		switch {
		case err == nil:
			return equal(ctx, tx, here, d, version)
		case !errors.Is(err, storage.ErrNotFound):
			return err
		}
		claimed, err := tx.ClaimDesign(ctx, whole(d))
		switch {
		case err != nil:
			return err
		case !claimed:
			return storage.ErrTaken
		case check:
			made = true
			return errChecked
		}
		grown, newest, err := importVersions(ctx, tx, o, d, version)
		if err != nil {
			return err
		}
		made = true
		if d.DeletedAt != nil {
			return grow(ctx, tx, o, grown)
		}
		grown.Designs = 1
		return grow(ctx, tx, o, grown, event(storage.DesignCreated, newest))
	})
	if errors.Is(err, errChecked) {
		err = nil
	}
	return made && err == nil, err
}

// whole is a design as every database keeps it.
func whole(d storage.Design) storage.Design {
	d.Tags = append([]string{}, d.Tags...)
	d.CreatedAt, d.UpdatedAt, d.DeletedAt = *micros(&d.CreatedAt), *micros(&d.UpdatedAt), micros(d.DeletedAt)
	return d
}

func checkTimes(d storage.Design, now time.Time) error {
	err := errors.Join(storage.CheckTime(d.CreatedAt, now), storage.CheckTime(d.UpdatedAt, now))
	if d.DeletedAt != nil {
		err = errors.Join(err, storage.CheckTime(*d.DeletedAt, now))
	}
	return err
}

func importVersions(ctx context.Context, tx Tx, o storage.Options, d storage.Design, version storage.VersionOf) (grown storage.Usage, newest storage.Version, err error) {
	for n := 1; n <= d.Version; n++ {
		v, err := version(n)
		if err != nil {
			return grown, newest, err
		}
		v.Document = append([]byte{}, v.Document...) // never nil
		nv := storage.NewVersion{Title: d.Title, Tags: d.Tags, Document: v.Document, Hash: v.Hash, Message: v.Message, Author: v.Author}
		if err := errors.Join(nv.Validate(), storage.CheckTime(v.CreatedAt, o.Now())); err != nil {
			return grown, newest, err
		}
		v.DesignID, v.Number, v.CreatedAt = d.ID, n, *micros(&v.CreatedAt)
		if err := tx.InsertVersion(ctx, v); err != nil {
			return grown, newest, err
		}
		if err := importLabels(ctx, tx, v, o.Now()); err != nil {
			return grown, newest, err
		}
		grown.Versions++
		grown.Bytes += int64(len(v.Document))
		newest = v
	}
	return grown, newest, nil
}

func importLabels(ctx context.Context, tx Tx, v storage.Version, at time.Time) error {
	for _, label := range v.Labels {
		if err := storage.CheckLabel(label); err != nil {
			return err
		}
		if err := tx.SetLabel(ctx, v.DesignID, Label{label, v.Number}, at); err != nil {
			return err
		}
	}
	return nil
}

// equal is storage.ErrTaken unless a design that is here equals the one that is
// to be imported.
func equal(ctx context.Context, tx Tx, here, d storage.Design, version storage.VersionOf) error {
	d = whole(d)
	if here.Version != d.Version || !sameTime(here.DeletedAt, d.DeletedAt) {
		return storage.ErrTaken
	}
	labels, err := tx.Labels(ctx, d.ID)
	if err != nil {
		return err
	}
	for n := 1; n <= d.Version; n++ {
		ours, err := tx.Version(ctx, d.ID, n)
		if err != nil {
			return err
		}
		theirs, err := version(n)
		if err != nil {
			return err
		}
		if ours.Message != theirs.Message || ours.Author != theirs.Author || !ours.CreatedAt.Equal(*micros(&theirs.CreatedAt)) ||
			!bytes.Equal(ours.Document, theirs.Document) || !slices.Equal(labelsOf(labels, n), slices.Sorted(slices.Values(theirs.Labels))) {
			return storage.ErrTaken
		}
	}
	return nil
}

func sameTime(a, b *time.Time) bool {
	return a == nil && b == nil || a != nil && b != nil && a.Equal(*b)
}
