package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"foldwright/storage"
	"foldwright/storage/backup"
	"foldwright/storage/postgres"
	"foldwright/storage/sqlite"
)

type backupCommand struct {
	storeFlags
	Verify bool   `help:"Prove an existing backup instead: read it through, restore it aside and compare."`
	File   string `arg:"" help:"File to write, which must not be there yet; or to prove."`
}

// Run writes a backup, while the service goes on, or proves one.
func (c *backupCommand) Run(ctx context.Context, to streams) error {
	if c.Verify {
		return verifyBackup(ctx, to.out, c.File)
	}
	return c.withKept(ctx, func(db storage.Backend) error {
		source, ok := db.(backup.Source)
		if !ok {
			return fmt.Errorf("%s cannot be backed up", db.Name())
		}
		var made *backup.Manifest
		err := writeNew(c.File, func(f *os.File) (err error) {
			made, err = source.Backup(ctx, f)
			return err
		})
		if err != nil {
			return err
		}
		tellBackup(to.out, "backed up", made)
		return nil
	})
}

func tellBackup(w io.Writer, done string, m *backup.Manifest) {
	fmt.Fprintf(w, "%s %d designs with %d versions, %d keys, %d shares, %d jobs and %d hooks\n",
		done, m.Rows("designs"), m.Rows("versions"), m.Rows("access_keys"), m.Rows("shares"), m.Rows("jobs"), m.Rows("hooks"))
}

// verifyBackup restores a backup into a file of its own, which is found sound,
// and backs that up again: what comes out must be what went in.
func verifyBackup(ctx context.Context, out io.Writer, path string) error {
	file, err := backup.Open(path)
	if err != nil {
		return err
	}
	defer func() { _ = file.Close() }()
	dir, err := os.MkdirTemp("", "foldwright-verify-")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	aside := filepath.Join(dir, databaseFile)
	if err := sqlite.Restore(ctx, aside, file); err != nil {
		return err
	}
	db, err := sqlite.Open(ctx, aside, storage.Options{})
	if err != nil {
		return err
	}
	again, err := db.Backup(ctx, io.Discard)
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	if err := file.SameAs(again); err != nil {
		return err
	}
	tellBackup(out, "the backup is whole:", &file.Manifest)
	return nil
}

type restoreCommand struct {
	storeFlags
	File string `arg:"" type:"existingfile" help:"Backup to restore."`
}

// Run puts a backup into an empty database.
func (c *restoreCommand) Run(ctx context.Context, to streams) error {
	file, err := backup.Open(c.File)
	if err != nil {
		return err
	}
	defer func() { _ = file.Close() }()
	if err := c.restore(ctx, file); err != nil {
		return err
	}
	tellBackup(to.out, "restored", &file.Manifest)
	return nil
}

func (f *storeFlags) restore(ctx context.Context, from *backup.File) error {
	return f.either(
		func(address string) error { return postgres.Restore(ctx, address, from) },
		func(path string) error { return sqlite.Restore(ctx, path, from) })
}
