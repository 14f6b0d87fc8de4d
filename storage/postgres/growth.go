package postgres

import (
	"context"
	"errors"

	"foldwright/storage"
	"foldwright/storage/internal/rules"
)

// Those who write in one workspace do so beside each other: each counts in a row
// of growth that hardly anybody else changes, and so waits for no other commit.
// What others have not committed they do not see; so as long as nobody can pass
// the quota even if every connection of the server adds what is small, they share
// the workspace. Where that is not certain, one at a time owns it, and sees all.

// smallBytes is the most that is added by who shares a workspace: as much as a
// request may hold.
const smallBytes = 2 << 20

// errCrowded ends a transaction that shares a workspace which it must own.
var errCrowded = errors.New("postgres: the workspace is nearly full")

// atomically tries to share the workspace, and owns it where that does not do.
func (w workspace) atomically(ctx context.Context, do func(rules.Tx) error) error {
	try := func(owns bool) error {
		return pipelined(ctx, w.db.pool, func(tx *pipeline) error {
			return do(writes{rows{tx, w.name}, tx, w.db.options.Quota, owns, &locked{}})
		})
	}
	err := try(false)
	if errors.Is(err, errCrowded) {
		err = try(true)
	}
	return err
}

func (w writes) Grow(ctx context.Context, by storage.Usage) (now storage.Usage, on int, err error) {
	owns := w.owns || by == storage.Usage{} || !small(by)
	lock := shareWorkspaceSQL
	if owns {
		lock = ownWorkspaceSQL
	}
	w.tx.later(lock, w.workspace)
	var connections int64
	err = w.tx.QueryRow(ctx, growSQL, w.workspace, by.Designs, by.Versions, by.Bytes).
		Scan(&now.Designs, &now.Versions, &now.Bytes, &on, &connections)
	if err == nil && !owns && crowded(now, w.quota, connections) {
		err = errCrowded
	}
	return now, on, err
}

func small(by storage.Usage) bool {
	return by.Designs <= 1 && by.Versions <= 1 && by.Bytes <= smallBytes
}

// crowded tells whether so many others at once could pass the quota.
func crowded(now storage.Usage, quota storage.Quota, others int64) bool {
	full := func(now, most, limit int64) bool { return limit > 0 && now+most*others > limit }
	return full(now.Designs, 1, quota.Designs) || full(now.Versions, 1, quota.Versions) || full(now.Bytes, smallBytes, quota.Bytes)
}
