package postgres

import (
	"context"

	"foldwright/storage"
	"foldwright/storage/internal/hooks"
	"foldwright/storage/internal/jobs"
	"foldwright/storage/internal/rules"

	"github.com/jackc/pgx/v5"
)

// workspace is a storage.Store in the database.
type workspace struct {
	db   *Store
	name string
	jobsIn
	hooksIn
}

type (
	jobsIn  = jobs.Workspace
	hooksIn = hooks.Workspace
)

func (w workspace) Create(ctx context.Context, v storage.NewVersion, key storage.IdempotencyKey) (storage.Design, storage.Version, bool, error) {
	made, err := rules.Create(ctx, w.atomically, w.db.options, v, key)
	return made.Design, made.Version, made.Replayed, interpretError(ctx, err)
}

func (w workspace) AddVersion(ctx context.Context, id string, ifVersion int, v storage.NewVersion, key storage.IdempotencyKey) (storage.Design, storage.Version, bool, error) {
	made, err := rules.AddVersion(ctx, w.atomically, w.db.options, id, ifVersion, v, key)
	return made.Design, made.Version, made.Replayed, interpretError(ctx, err)
}

func (w workspace) Delete(ctx context.Context, id string, ifVersion int) error {
	return interpretError(ctx, rules.Delete(ctx, w.atomically, w.db.options, id, ifVersion))
}

func (w workspace) Restore(ctx context.Context, id string) (storage.Design, storage.Version, error) {
	d, newest, err := rules.Restore(ctx, w.atomically, w.db.options, id)
	return d, newest, interpretError(ctx, err)
}

func (w workspace) SetLabel(ctx context.Context, id string, n int, label string) error {
	return interpretError(ctx, rules.SetLabel(ctx, w.atomically, w.db.options, id, rules.Label{Name: label, Version: n}))
}

func (w workspace) DropLabel(ctx context.Context, id string, n int, label string) error {
	return interpretError(ctx, rules.DropLabel(ctx, w.atomically, id, rules.Label{Name: label, Version: n}))
}

func (w workspace) Head(ctx context.Context, id string) (storage.Design, error) {
	d, err := rules.Head(ctx, w.reader(), w.db.options, id)
	return d, interpretError(ctx, err)
}

func (w workspace) Get(ctx context.Context, id string) (storage.Design, error) {
	d, err := rules.Get(ctx, w.reader(), id)
	return d, interpretError(ctx, err)
}

func (w workspace) List(ctx context.Context, q storage.Query) (storage.Page, error) {
	page, err := rules.List(ctx, w.reader(), w.db.options, q)
	return page, interpretError(ctx, err)
}

func (w workspace) Version(ctx context.Context, id string, n int) (storage.Version, error) {
	v, err := rules.Version(ctx, w.reader(), id, n)
	return v, interpretError(ctx, err)
}

func (w workspace) Versions(ctx context.Context, id string, q storage.VersionQuery) (storage.VersionPage, error) {
	page, err := rules.Versions(ctx, w.reader(), id, q)
	return page, interpretError(ctx, err)
}

// Export reads in one transaction, which sees what was committed when it read
// first.
func (w workspace) Export(ctx context.Context, visit storage.Visit) error {
	snapshot := pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}
	err := pgx.BeginTxFunc(ctx, w.db.pool, snapshot, func(tx pgx.Tx) error {
		return rules.Export(ctx, rows{tx, w.name}, visit)
	})
	return interpretError(ctx, err)
}

func (w workspace) Import(ctx context.Context, d storage.Design, version storage.VersionOf, check bool) (bool, error) {
	made, err := rules.Import(ctx, w.atomically, w.db.options, d, version, check)
	return made, interpretError(ctx, err)
}

func (w workspace) Usage(ctx context.Context) (storage.Usage, error) {
	u, err := w.reader().Usage(ctx)
	return u, interpretError(ctx, err)
}

func (w workspace) AddKey(ctx context.Context, nk storage.NewKey) (storage.Key, error) {
	k, err := rules.AddKey(ctx, w.atomically, w.db.options, w.name, nk)
	return k, interpretError(ctx, err)
}

func (w workspace) Keys(ctx context.Context) ([]storage.Key, error) {
	keys, err := w.reader().Keys(ctx)
	return keys, interpretError(ctx, err)
}

func (w workspace) RevokeKey(ctx context.Context, id string) error {
	return interpretError(ctx, rules.RevokeKey(ctx, w.atomically, w.db.options, id))
}

func (w workspace) AddShare(ctx context.Context, designID string, ns storage.NewShare) (storage.Share, error) {
	s, err := rules.AddShare(ctx, w.atomically, w.db.options, w.name, designID, ns)
	return s, interpretError(ctx, err)
}

func (w workspace) Shares(ctx context.Context, designID string) ([]storage.Share, error) {
	shares, err := rules.Shares(ctx, w.reader(), designID)
	return shares, interpretError(ctx, err)
}

func (w workspace) RevokeShare(ctx context.Context, designID, id string) error {
	return interpretError(ctx, rules.RevokeShare(ctx, w.atomically, w.db.options, designID, id))
}

func (w workspace) reader() rules.Reader { return rows{w.db.pool, w.name} }
