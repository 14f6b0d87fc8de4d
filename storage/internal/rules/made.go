package rules

import (
	"context"
	"errors"
	"slices"
	"time"

	"foldwright/storage"
)

// Made is what Create and AddVersion return.
type Made struct {
	Design   storage.Design
	Version  storage.Version
	Replayed bool
}

// Create is the rule of storage.Store.Create.
func Create(ctx context.Context, atomically Atomically, o storage.Options, nv storage.NewVersion, key storage.IdempotencyKey) (Made, error) {
	if err := errors.Join(nv.Validate(), key.Validate()); err != nil {
		return Made{}, err
	}
	now := o.Now()
	d := headed(storage.Design{ID: o.NewID(), CreatedAt: now}, nv, 1, now)
	made := Made{Design: d, Version: version(d, nv)}
	err := atomically(ctx, func(tx Tx) error {
		// The key comes first: a second call with it waits here, before it
		// has made anything.
		if claimed, err := claim(ctx, tx, key, made.Version); err != nil {
			return err
		} else if !claimed {
			made, err = replay(ctx, tx, key)
			return err
		}
		if err := tx.InsertDesign(ctx, made.Design); err != nil {
			return err
		}
		if err := tx.InsertVersion(ctx, made.Version); err != nil {
			return err
		}
		return grow(ctx, tx, o, storage.Usage{Designs: 1, Versions: 1, Bytes: size(nv)}, event(storage.DesignCreated, made.Version))
	})
	if err != nil {
		return Made{}, err
	}
	return made, nil
}

// replay returns what a key's request made.
func replay(ctx context.Context, tx Tx, key storage.IdempotencyKey) (Made, error) {
	use, err := used(ctx, tx, key)
	if err != nil {
		return Made{}, err
	}
	d, err := tx.LockDesign(ctx, use.DesignID)
	if err != nil {
		return Made{}, err
	}
	v, err := tx.Version(ctx, use.DesignID, use.Version)
	return Made{Design: d, Version: v, Replayed: true}, err
}

// AddVersion is the rule of storage.Store.AddVersion.
func AddVersion(ctx context.Context, atomically Atomically, o storage.Options, id string, ifVersion int, nv storage.NewVersion, key storage.IdempotencyKey) (made Made, err error) {
	if err := errors.Join(nv.Validate(), key.Validate()); err != nil {
		return Made{}, err
	}
	err = atomically(ctx, func(tx Tx) error {
		current, err := lock(ctx, tx, id)
		if err != nil {
			return err
		}
		use, err := used(ctx, tx, key)
		switch {
		case err == nil && use.DesignID != id:
			return storage.ErrKeyReused
		case err == nil:
			v, err := tx.Version(ctx, id, use.Version)
			made = Made{Design: current, Version: v, Replayed: true}
			return err
		case !errors.Is(err, storage.ErrNotFound):
			return err
		}
		if err := expect(current, ifVersion); err != nil {
			return err
		}
		if made, err = next(ctx, tx, o, current, nv); err != nil {
			return err
		}
		claimed, err := claim(ctx, tx, key, made.Version)
		if err == nil && !claimed {
			// Calls for this design wait at the lock, so the key was taken
			// for another one just now.
			return storage.ErrKeyReused
		}
		if err != nil || made.Version.Number == current.Version {
			return err
		}
		return grow(ctx, tx, o, storage.Usage{Versions: 1, Bytes: size(nv)}, event(storage.VersionCreated, made.Version))
	})
	if err != nil {
		return Made{}, err
	}
	return made, nil
}

// next makes the version after a design's newest, unless it would equal it.
func next(ctx context.Context, tx Tx, o storage.Options, current storage.Design, nv storage.NewVersion) (Made, error) {
	if nv.Title == current.Title && slices.Equal(nv.Tags, current.Tags) {
		hash, err := tx.VersionHash(ctx, current.ID, current.Version)
		if err != nil {
			return Made{}, err
		}
		if hash == nv.Hash {
			newest, err := tx.Version(ctx, current.ID, current.Version)
			return Made{Design: current, Version: newest}, err
		}
	}
	d := headed(current, nv, current.Version+1, o.Now())
	v := version(d, nv)
	if err := tx.InsertVersion(ctx, v); err != nil {
		return Made{}, err
	}
	return Made{Design: d, Version: v}, tx.UpdateDesign(ctx, d)
}

// lock reads and locks the design a caller named.
func lock(ctx context.Context, tx Tx, id string) (storage.Design, error) {
	// Such an id was never made, and Postgres would refuse to compare with it.
	if !storage.ValidText(id) {
		return storage.Design{}, storage.ErrNotFound
	}
	return tx.LockDesign(ctx, id)
}

// anyVersion is the number a caller gives who takes whatever is newest.
const anyVersion = 0

// expect checks that a design is live and at the version a caller has seen.
func expect(d storage.Design, ifVersion int) error {
	switch {
	case d.DeletedAt != nil:
		return storage.ErrDeleted
	case ifVersion != anyVersion && ifVersion != d.Version:
		return storage.ErrConflict
	}
	return nil
}

// claim records what a key's request makes; no key is always claimed.
func claim(ctx context.Context, tx Tx, key storage.IdempotencyKey, v storage.Version) (bool, error) {
	if key.IsZero() {
		return true, nil
	}
	return tx.ClaimKey(ctx, KeyUse{IdempotencyKey: key, DesignID: v.DesignID, Version: v.Number, At: v.CreatedAt})
}

// used returns the use of a key by an earlier copy of the same request, or
// storage.ErrNotFound if there was none.
func used(ctx context.Context, tx Tx, key storage.IdempotencyKey) (KeyUse, error) {
	if key.IsZero() {
		return KeyUse{}, storage.ErrNotFound
	}
	use, err := tx.KeyUse(ctx, key.Key)
	if err == nil && use.Fingerprint != key.Fingerprint {
		err = storage.ErrKeyReused
	}
	return use, err
}

// headed returns a design whose newest version is nv, under a number.
func headed(d storage.Design, nv storage.NewVersion, number int, now time.Time) storage.Design {
	d.Title = nv.Title
	d.Tags = append([]string{}, nv.Tags...)
	d.Version = number
	d.UpdatedAt = now
	return d
}

func size(nv storage.NewVersion) int64 { return int64(len(nv.Document)) }

func version(d storage.Design, nv storage.NewVersion) storage.Version {
	return storage.Version{
		DesignID:  d.ID,
		Number:    d.Version,
		Document:  append([]byte{}, nv.Document...),
		Hash:      nv.Hash,
		CreatedAt: d.UpdatedAt,
		Message:   nv.Message,
		Author:    nv.Author,
	}
}
