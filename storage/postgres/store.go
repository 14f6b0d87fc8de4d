package postgres

import (
	"context"
	"database/sql"

	"foldwright/storage"
	"foldwright/storage/internal/hooks"
	"foldwright/storage/internal/jobs"
	"foldwright/storage/internal/rules"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Store is a storage.Backend in a server.
type Store struct {
	location string
	options  storage.Options
	pool     *pgxpool.Pool
	standard *sql.DB // the pool, in the standard library's form
	*jobQueue
	*hookQueue
}

// The queues keep what they are made of to themselves.
type (
	jobQueue  = jobs.Queue
	hookQueue = hooks.Queue
)

var _ storage.Backend = (*Store)(nil)

// In is the store of a workspace.
func (s *Store) In(name string) storage.Store {
	return workspace{s, name, jobsIn{Queue: s.jobQueue, Name: name}, hooksIn{Queue: s.hookQueue, Name: name}}
}

func (s *Store) Workspaces(ctx context.Context) ([]string, error) {
	found, err := s.pool.Query(ctx, workspacesSQL)
	if err != nil {
		return nil, interpretError(ctx, err)
	}
	names, err := pgx.CollectRows(found, pgx.RowTo[string])
	return names, interpretError(ctx, err)
}

// UseKey leaves a use unnoted when that fails: the key is good all the same.
func (s *Store) UseKey(ctx context.Context, hash string) (storage.Key, error) {
	k, err := scanKey(s.pool.QueryRow(ctx, keyByHashSQL, hash))
	if err != nil {
		return storage.Key{}, interpretError(ctx, err)
	}
	if now := s.options.Now(); rules.NoteUse(k, now) {
		if _, err := s.pool.Exec(ctx, noteUseSQL, k.ID, now); err == nil {
			k.LastUsedAt = &now
		}
	}
	return k, nil
}

func (s *Store) HasKey(ctx context.Context) (has bool, err error) {
	err = s.pool.QueryRow(ctx, hasKeySQL, s.options.Now()).Scan(&has)
	return has, interpretError(ctx, err)
}

func (s *Store) HasOrigin(ctx context.Context, origin string) (has bool, err error) {
	if !storage.ValidText(origin) {
		return false, nil
	}
	err = s.pool.QueryRow(ctx, hasOriginSQL, s.options.Now(), origin).Scan(&has)
	return has, interpretError(ctx, err)
}

func (s *Store) Share(ctx context.Context, hash string) (storage.Share, error) {
	share, err := scanShare(s.pool.QueryRow(ctx, shareByHashSQL, hash))
	return share, interpretError(ctx, err)
}

func (s *Store) Ping(ctx context.Context) error {
	var some bool
	return interpretError(ctx, s.pool.QueryRow(ctx, pingSQL).Scan(&some))
}

func (s *Store) Close() error {
	err := s.standard.Close()
	s.pool.Close()
	return err
}

func (s *Store) Name() string { return "postgres" }

// Location is the URL of the database, without the password.
func (s *Store) Location() string { return s.location }

func (s *Store) Schema(ctx context.Context) (int64, error) {
	d, err := designs()
	if err != nil {
		return 0, err
	}
	version, err := d.Version(ctx, s.standard)
	return version, interpretError(ctx, err)
}

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
