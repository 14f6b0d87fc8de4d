package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"foldwright/storage"
	"foldwright/storage/postgres"
	"foldwright/storage/sqlite"
)

// storeFlags say where designs are kept.
type storeFlags struct {
	DatabaseURL  string `name:"database-url" env:"FOLDWRIGHT_DATABASE_URL" placeholder:"URL" help:"Postgres database to keep designs in (postgres://...). Without one they are kept in a file. pool_max_conns in it bounds the connections; default: 16, or 4 for each processor."`
	PasswordFile string `name:"database-password-file" env:"FOLDWRIGHT_DATABASE_PASSWORD_FILE" placeholder:"FILE" help:"File with the password for that URL, to keep it out of the environment."`
	DataDir      string `name:"data-dir" env:"FOLDWRIGHT_DATA_DIR" placeholder:"DIR" help:"Folder of that file. Default: foldwright in the user's data folder."`
}

// databaseFile is the file in the data folder that holds the designs.
const databaseFile = "designs.db"

func (f *storeFlags) open(ctx context.Context, options storage.Options) (storage.Backend, error) {
	var store storage.Backend
	err := f.either(func(address string) (err error) {
		store, err = orNil(postgres.Open(ctx, address, options))
		return err
	}, func(path string) (err error) {
		store, err = orNil(sqlite.Open(ctx, path, options))
		return err
	})
	return store, err
}

// either does what is to be done with the address of the Postgres database, or
// with the path of the file.
func (f *storeFlags) either(onPostgres, onFile func(where string) error) error {
	where, do := f.file, onFile
	if f.DatabaseURL != "" || f.PasswordFile != "" {
		where, do = f.address, onPostgres
	}
	found, err := where()
	if err != nil {
		return err
	}
	return do(found)
}

// withStore opens the store for one piece of work.
func (f *storeFlags) withStore(ctx context.Context, do func(storage.Backend) error) error {
	store, err := f.open(ctx, storage.Options{})
	if err != nil {
		return err
	}
	return errors.Join(do(store), store.Close())
}

// withKept is withStore for work that makes no sense where nothing is kept yet: a
// file that is not there is not made.
func (f *storeFlags) withKept(ctx context.Context, do func(storage.Backend) error) error {
	err := f.either(func(string) error { return nil }, func(path string) error {
		_, err := os.Stat(path)
		if errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("there is no %s; give the folder in which the service keeps designs, with --data-dir or as FOLDWRIGHT_DATA_DIR", path)
		}
		return err
	})
	if err != nil {
		return err
	}
	return f.withStore(ctx, do)
}

// orNil keeps a nil store from becoming a backend that is not nil.
func orNil[S storage.Backend](store S, err error) (storage.Backend, error) {
	if err != nil {
		return nil, err
	}
	return store, nil
}

func (f *storeFlags) migrate(ctx context.Context) error {
	return f.either(
		func(address string) error { return postgres.Migrate(ctx, address) },
		func(path string) error { return sqlite.Migrate(ctx, path) })
}

// address is the URL with the password from its file. It refuses other
// databases without repeating the URL, which may hold a password.
func (f *storeFlags) address() (string, error) {
	if f.DatabaseURL == "" {
		return "", errors.New("FOLDWRIGHT_DATABASE_PASSWORD_FILE names a file with a password, but there is no database to use it for; give its address as FOLDWRIGHT_DATABASE_URL (postgres://...), or leave out the password file to keep designs in a file")
	}
	if !strings.HasPrefix(f.DatabaseURL, "postgres://") && !strings.HasPrefix(f.DatabaseURL, "postgresql://") {
		return "", errors.New("the database URL must start with postgres://; leave it out to keep designs in a file")
	}
	if f.PasswordFile == "" {
		return f.DatabaseURL, nil
	}
	password, err := os.ReadFile(f.PasswordFile)
	if err != nil {
		return "", fmt.Errorf("FOLDWRIGHT_DATABASE_PASSWORD_FILE: %w", err)
	}
	read := strings.TrimRight(string(password), "\r\n")
	if read == "" {
		return "", fmt.Errorf("FOLDWRIGHT_DATABASE_PASSWORD_FILE: %s is empty; write the password into it", f.PasswordFile)
	}
	u, err := url.Parse(f.DatabaseURL)
	if err != nil {
		return "", errors.New("the database URL cannot be read; leave the password to its file")
	}
	if _, has := u.User.Password(); has || u.Query().Has("password") {
		return "", errors.New("the database URL holds a password, and FOLDWRIGHT_DATABASE_PASSWORD_FILE names a file with one; take it out of the URL, or leave out the file")
	}
	u.User = url.UserPassword(u.User.Username(), read)
	return u.String(), nil
}

func (f *storeFlags) file() (string, error) {
	dir := f.DataDir
	if dir == "" {
		var err error
		if dir, err = userDataDir(); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, databaseFile), nil
}

// userDataDir is where programs keep a user's data (XDG base directories).
func userDataDir() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "foldwright"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("no folder to keep designs in: %w; set --data-dir", err)
	}
	return filepath.Join(home, ".local", "share", "foldwright"), nil
}
