package hooks

import (
	"context"
	"encoding/json"

	"foldwright/storage"
	"foldwright/storage/internal/lease"
)

// Announcement is the arguments of AnnounceSQL, which makes a delivery for each
// hook of a workspace that asks for an event.
func Announcement(ctx context.Context, workspace string, e storage.Event) ([]any, error) {
	e.About.Trace = lease.Traceparent(ctx)
	about, err := json.Marshal(e.About)
	return []any{workspace, e.ID, string(e.Type), string(about), e.At.UnixMicro()}, err
}

// Announce is AnnounceSQL in a transaction.
func Announce(ctx context.Context, tx lease.Tx, workspace string, e storage.Event) error {
	arguments, err := Announcement(ctx, workspace, e)
	if err == nil {
		_, err = tx.Change(ctx, AnnounceSQL, arguments...)
	}
	return err
}
