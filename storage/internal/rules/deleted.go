package rules

import (
	"context"

	"foldwright/storage"
)

// Delete is the rule of storage.Store.Delete.
func Delete(ctx context.Context, atomically Atomically, o storage.Options, id string, ifVersion int) error {
	return atomically(ctx, func(tx Tx) error {
		current, err := lock(ctx, tx, id)
		if err != nil {
			return err
		}
		if err := expect(current, ifVersion); err != nil {
			return err
		}
		now := o.Now()
		if err := tx.SetDeleted(ctx, id, &now); err != nil {
			return err
		}
		return grow(ctx, tx, o, storage.Usage{Designs: -1}, storage.Event{
			Type: storage.DesignDeleted, At: now, About: storage.EventAbout{Design: id, Version: current.Version},
		})
	})
}

// Restore is the rule of storage.Store.Restore.
func Restore(ctx context.Context, atomically Atomically, o storage.Options, id string) (restored storage.Design, newest storage.Version, err error) {
	err = atomically(ctx, func(tx Tx) error {
		if restored, err = lock(ctx, tx, id); err != nil {
			return err
		}
		if newest, err = tx.Version(ctx, id, restored.Version); err != nil || restored.DeletedAt == nil {
			return err
		}
		restored.DeletedAt = nil
		if err := tx.SetDeleted(ctx, id, nil); err != nil {
			return err
		}
		return grow(ctx, tx, o, storage.Usage{Designs: 1}, storage.Event{
			Type: storage.DesignRestored, At: o.Now(), About: storage.EventAbout{Design: id, Version: restored.Version},
		})
	})
	if err != nil {
		return storage.Design{}, storage.Version{}, err
	}
	return restored, newest, nil
}
