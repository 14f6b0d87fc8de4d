package sqlite

import (
	"context"
	"database/sql"
	"errors"

	"foldwright/storage"
	"foldwright/storage/internal/rules"
)

// Store is a storage.Backend in a file.
type Store struct {
	path    string
	options storage.Options
	writer  *sql.DB
	readers *sql.DB
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
	return interpretError(ctx, s.readers.QueryRowContext(ctx, pingSQL).Scan(&some))
}

// Close leaves the writer for last: the last connection to go brings the log
// into the file, which a reader may not.
func (s *Store) Close() error {
	return errors.Join(s.readers.Close(), s.writer.Close())
}

func (s *Store) Name() string { return "sqlite" }

// Location is the path of the file.
func (s *Store) Location() string { return s.path }

func (s *Store) Stats() storage.Stats {
	w, r := s.writer.Stats(), s.readers.Stats()
	return storage.Stats{
		Max:    w.MaxOpenConnections + r.MaxOpenConnections,
		Open:   w.OpenConnections + r.OpenConnections,
		InUse:  w.InUse + r.InUse,
		Idle:   w.Idle + r.Idle,
		Waits:  w.WaitCount + r.WaitCount,
		Waited: w.WaitDuration + r.WaitDuration,
	}
}

func (s *Store) reader() rules.Reader { return rows{s.readers} }

func (s *Store) atomically(ctx context.Context, do func(rules.Tx) error) error {
	tx, err := s.writer.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after a commit
	if err := do(writes{rows{tx}, tx}); err != nil {
		return err
	}
	return tx.Commit()
}
