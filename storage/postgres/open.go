package postgres

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net"
	"net/url"
	"runtime"
	"strconv"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/hooks"
	"foldwright/storage/internal/jobs"
	"foldwright/storage/internal/lease"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
)

// oldestServer is the oldest version that is tested, as the server numbers it.
const oldestServer = 15_00_00

// connectTimeout holds when the URL names none: a server that does not answer
// must not hold up a request for the minutes that TCP would try.
const connectTimeout = 5 * time.Second

// Open opens the designs in the database at a URL, which may also set the pool
// with pool_max_conns and its kind. Unless it does, there are up to 16
// connections, or 4 for each processor: writers wait for the disk, not for one
// another.
func Open(ctx context.Context, url string, o storage.Options) (*Store, error) {
	config, err := parse(url)
	if err != nil {
		return nil, err
	}
	err = checkServer(ctx, config.ConnConfig)
	if err == nil && !o.SkipMigrate {
		err = migrate(ctx, config.ConnConfig)
	}
	if err == nil {
		err = checkSchema(ctx, config.ConnConfig)
	}
	if err != nil {
		return nil, interpretError(ctx, err)
	}
	hearSilence(config)
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, interpretError(ctx, err)
	}
	s := &Store{location: location(config.ConnConfig), options: o.WithDefaults(), pool: pool}
	s.standard = stdlib.OpenDBFromPool(pool)
	leased := &lease.Database{Reads: s.standard, Writes: s.standard, Options: s.options, Isolation: sql.LevelReadCommitted, Lock: "FOR UPDATE SKIP LOCKED", Own: ownWorkspaceSQL, AsAnswer: interpretError}
	s.jobQueue, s.hookQueue = jobs.New(leased), hooks.New(leased)
	if err := s.Ping(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// parse says nothing about a URL it cannot read: where the password ends in
// such a URL is anyone's guess.
func parse(url string) (*pgxpool.Config, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, errors.New("postgres: the database URL cannot be read; is everything in its password percent-encoded?")
	}
	if plain, err := pgx.ParseConfig(url); err == nil && plain.RuntimeParams["pool_max_conns"] == "" {
		config.MaxConns = int32(max(16, 4*runtime.NumCPU())) //nolint:gosec // nobody has so many processors
	}
	if config.ConnConfig.ConnectTimeout == 0 {
		config.ConnConfig.ConnectTimeout = connectTimeout
	}
	return config, nil
}

func checkServer(ctx context.Context, config *pgx.ConnConfig) error {
	conn, err := pgx.ConnectConfig(ctx, config)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	var (
		version  int
		encoding string
	)
	if err := conn.QueryRow(ctx, serverSQL).Scan(&version, &encoding); err != nil {
		return err
	}
	if version < oldestServer {
		return fmt.Errorf("the server is version %d, but %d or newer is needed", version/10000, oldestServer/10000)
	}
	if encoding != "UTF8" {
		return fmt.Errorf("the database's encoding is %s, but UTF8 is needed", encoding)
	}
	return nil
}

// location is built from what was understood of the URL, rather than cut from
// the URL, so that no spelling of a password can come through.
func location(c *pgx.ConnConfig) string {
	u := url.URL{
		Scheme: "postgres",
		User:   url.User(c.User),
		Host:   net.JoinHostPort(c.Host, strconv.Itoa(int(c.Port))),
		Path:   "/" + c.Database,
	}
	return u.String()
}
