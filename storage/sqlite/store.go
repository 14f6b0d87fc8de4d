package sqlite

import (
	"context"
	"database/sql"
	"errors"

	"foldwright/storage"
	"foldwright/storage/internal/hooks"
	"foldwright/storage/internal/jobs"
	"foldwright/storage/internal/rules"
)

// Store is a storage.Backend in a file.
type Store struct {
	path    string
	options storage.Options
	writer  *sql.DB
	readers *sql.DB
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
	found, err := s.readers.QueryContext(ctx, workspacesSQL)
	names, err := collect(found, err, func(row scanner) (name string, err error) { return name, row.Scan(&name) })
	return names, interpretError(ctx, err)
}

// UseKey leaves a use unnoted when that fails: the key is good all the same.
func (s *Store) UseKey(ctx context.Context, hash string) (storage.Key, error) {
	k, err := scanKey(s.readers.QueryRowContext(ctx, keyByHashSQL, hash))
	if err != nil {
		return storage.Key{}, interpretError(ctx, err)
	}
	if now := s.options.Now(); rules.NoteUse(k, now) {
		if _, err := s.writer.ExecContext(ctx, noteUseSQL, k.ID, now.UnixMicro()); err == nil {
			k.LastUsedAt = &now
		}
	}
	return k, nil
}

func (s *Store) HasKey(ctx context.Context) (has bool, err error) {
	err = s.readers.QueryRowContext(ctx, hasKeySQL, s.options.Now().UnixMicro()).Scan(&has)
	return has, interpretError(ctx, err)
}

func (s *Store) HasOrigin(ctx context.Context, origin string) (has bool, err error) {
	if !storage.ValidText(origin) {
		return false, nil
	}
	err = s.readers.QueryRowContext(ctx, hasOriginSQL, s.options.Now().UnixMicro(), origin).Scan(&has)
	return has, interpretError(ctx, err)
}

func (s *Store) Share(ctx context.Context, hash string) (storage.Share, error) {
	share, err := scanShare(s.readers.QueryRowContext(ctx, shareByHashSQL, hash))
	return share, interpretError(ctx, err)
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

func (s *Store) Schema(ctx context.Context) (int64, error) {
	version, err := designs().Version(ctx, s.readers)
	return version, interpretError(ctx, err)
}

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
