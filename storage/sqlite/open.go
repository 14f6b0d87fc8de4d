package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"foldwright/storage"
	"foldwright/storage/internal/hooks"
	"foldwright/storage/internal/jobs"
	"foldwright/storage/internal/lease"

	_ "modernc.org/sqlite" // registers the driver "sqlite"
)

// busyMillis is how long a write waits for a writer in another process. It
// outlasts a commit on a slow disk by far, and is short enough that a request
// still gets an answer.
const busyMillis = "10000"

// Open opens the designs in the file at path, and makes the file and its
// folder, for the current user only, if they are missing.
func Open(ctx context.Context, path string, o storage.Options) (*Store, error) {
	writer, err := openWriter(path)
	if err != nil {
		return nil, err
	}
	readers, err := openReaders(path)
	if err != nil {
		return nil, errors.Join(err, writer.Close())
	}
	s := &Store{path: absolute(path), options: o.WithDefaults(), writer: writer, readers: readers}
	leased := &lease.Database{Reads: readers, Writes: writer, Options: s.options, AsAnswer: interpretError}
	s.jobQueue, s.hookQueue = jobs.New(leased), hooks.New(leased)
	if !o.SkipMigrate {
		err = migrate(ctx, writer)
	}
	if err == nil {
		err = designs().Check(ctx, writer)
	}
	if err == nil {
		err = s.Ping(ctx)
	}
	if err != nil {
		return nil, errors.Join(interpretError(ctx, err), s.Close())
	}
	return s, nil
}

func openWriter(path string) (*sql.DB, error) {
	if err := makeFile(path); err != nil {
		return nil, fmt.Errorf("%w: %w", storage.ErrUnavailable, err)
	}
	db, err := sql.Open("sqlite", dataSource(path, url.Values{
		"_txlock": {"immediate"},
		"_dqs":    {"0"},
		"_pragma": {
			"busy_timeout(" + busyMillis + ")",
			"journal_mode(WAL)",
			"synchronous(FULL)", // with WAL, the default would lose commits in a power cut
			"foreign_keys(1)",
		},
	}))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	db.SetMaxIdleConns(1)
	return db, nil
}

func openReaders(path string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", dataSource(path, url.Values{
		"_dqs":    {"0"},
		"_pragma": {"busy_timeout(" + busyMillis + ")", "query_only(1)"},
	}))
	if err != nil {
		return nil, err
	}
	n := max(4, runtime.GOMAXPROCS(0))
	db.SetMaxOpenConns(n)
	db.SetMaxIdleConns(n) // opening one costs more than most reads
	return db, nil
}

// makeFile makes the file before SQLite does, which would let everyone read
// it. The log beside it takes over its permissions.
func makeFile(path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

// dataSource escapes the path, which may hold what means something in a URL.
func dataSource(path string, parameters url.Values) string {
	slashed := filepath.ToSlash(absolute(path))
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // a Windows drive
	}
	u := url.URL{Scheme: "file", Path: slashed, RawQuery: parameters.Encode()}
	return u.String()
}

func absolute(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}
