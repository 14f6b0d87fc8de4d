package rules

import (
	"context"

	"foldwright/storage"
)

// AddShare is the rule of storage.Store.AddShare.
func AddShare(ctx context.Context, atomically Atomically, o storage.Options, workspace, designID string, ns storage.NewShare) (storage.Share, error) {
	if err := ns.Validate(); err != nil {
		return storage.Share{}, err
	}
	s := storage.Share{
		ID: o.NewID(), Workspace: workspace, DesignID: designID, Version: ns.Version, Name: ns.Name,
		CreatedAt: o.Now(), ExpiresAt: micros(ns.ExpiresAt),
	}
	return s, atomically(ctx, func(tx Tx) error {
		current, err := lock(ctx, tx, designID)
		if err != nil {
			return err
		}
		if err := expect(current, anyVersion); err != nil {
			return err
		}
		if ns.Version < 0 || ns.Version > current.Version {
			return storage.ErrNotFound
		}
		if n, err := tx.CountShares(ctx, designID); err != nil {
			return err
		} else if n >= storage.MaxShares {
			return &storage.QuotaError{What: "shares", Limit: storage.MaxShares}
		}
		return tx.InsertShare(ctx, s, ns.Hash)
	})
}

// Shares is the rule of storage.Store.Shares.
func Shares(ctx context.Context, r Reader, designID string) ([]storage.Share, error) {
	if _, err := Get(ctx, r, designID); err != nil {
		return nil, err
	}
	return r.Shares(ctx, designID)
}

// RevokeShare is the rule of storage.Store.RevokeShare.
func RevokeShare(ctx context.Context, atomically Atomically, o storage.Options, designID, id string) error {
	if !storage.ValidText(designID) || !storage.ValidText(id) {
		return storage.ErrNotFound
	}
	return atomically(ctx, func(tx Tx) error { return tx.RevokeShare(ctx, designID, id, o.Now()) })
}
