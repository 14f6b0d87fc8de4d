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
		return tx.SetDeleted(ctx, id, &now)
	})
}

// Restore is the rule of storage.Store.Restore.
func Restore(ctx context.Context, atomically Atomically, id string) (restored storage.Design, err error) {
	err = atomically(ctx, func(tx Tx) error {
		restored, err = lock(ctx, tx, id)
		if err != nil || restored.DeletedAt == nil {
			return err
		}
		restored.DeletedAt = nil
		return tx.SetDeleted(ctx, id, nil)
	})
	return restored, err
}
