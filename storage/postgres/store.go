package postgres

import (
	"context"

	"foldwright/storage"
	"foldwright/storage/internal/rules"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Store is a storage.Backend in a server.
type Store struct {
	location string
	options  storage.Options
	pool     *pgxpool.Pool
}

var _ storage.Backend = (*Store)(nil)

func (s *Store) Create(ctx context.Context, v storage.NewVersion, key storage.IdempotencyKey) (storage.Design, storage.Version, bool, error) {
	made, err := rules.Create(ctx, s.atomically, s.options, v, key)
	return made.Design, made.Version, made.Replayed, interpretError(ctx, err)
}

func (s *Store) AddVersion(ctx context.Context, id string, ifVersion int, v storage.NewVersion, key storage.IdempotencyKey) (storage.Design, storage.Version, bool, error) {
	made, err := rules.AddVersion(ctx, s.atomically, s.options, id, ifVersion, v, key)
	return made.Design, made.Version, made.Replayed, interpretError(ctx, err)
}

func (s *Store) Delete(ctx context.Context, id string, ifVersion int) error {
	return interpretError(ctx, rules.Delete(ctx, s.atomically, s.options, id, ifVersion))
}

func (s *Store) Restore(ctx context.Context, id string) (storage.Design, error) {
	d, err := rules.Restore(ctx, s.atomically, id)
	return d, interpretError(ctx, err)
}

func (s *Store) Get(ctx context.Context, id string) (storage.Design, error) {
	d, err := rules.Get(ctx, s.reader(), id)
	return d, interpretError(ctx, err)
}

func (s *Store) List(ctx context.Context, q storage.Query) (storage.Page, error) {
	page, err := rules.List(ctx, s.reader(), q)
	return page, interpretError(ctx, err)
}

func (s *Store) Version(ctx context.Context, id string, n int) (storage.Version, error) {
	v, err := rules.Version(ctx, s.reader(), id, n)
	return v, interpretError(ctx, err)
}

func (s *Store) Versions(ctx context.Context, id string, q storage.VersionQuery) (storage.VersionPage, error) {
	page, err := rules.Versions(ctx, s.reader(), id, q)
	return page, interpretError(ctx, err)
}

func (s *Store) Ping(ctx context.Context) error {
	var some bool
	return interpretError(ctx, s.pool.QueryRow(ctx, pingSQL).Scan(&some))
}

func (s *Store) Close() error {
	s.pool.Close()
	return nil
}

func (s *Store) Name() string { return "postgres" }

// Location is the URL of the database, without the password.
func (s *Store) Location() string { return s.location }

func (s *Store) Stats() storage.Stats {
	p := s.pool.Stat()
	return storage.Stats{
		Max:    int(p.MaxConns()),
		Open:   int(p.TotalConns()),
		InUse:  int(p.AcquiredConns()),
		Idle:   int(p.IdleConns()),
		Waits:  p.EmptyAcquireCount(),
		Waited: p.EmptyAcquireWaitTime(),
	}
}

func (s *Store) reader() rules.Reader { return rows{s.pool} }

func (s *Store) atomically(ctx context.Context, do func(rules.Tx) error) error {
	return pgx.BeginTxFunc(ctx, s.pool, pgx.TxOptions{IsoLevel: pgx.ReadCommitted}, func(tx pgx.Tx) error {
		return do(writes{rows{tx}, tx})
	})
}
