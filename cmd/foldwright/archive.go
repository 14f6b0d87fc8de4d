package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"foldwright/api"
	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/archive"
)

type exportCommand struct {
	storeFlags
	Workspace string `default:"local" help:"Whose designs to write."`
	File      string `arg:"" help:"Archive to write, which must not be there yet."`
}

// Run writes the designs of a workspace, while the service goes on.
func (c *exportCommand) Run(ctx context.Context, to streams) error {
	if err := access.CheckWorkspace(c.Workspace); err != nil {
		return err
	}
	return c.withKept(ctx, func(db storage.Backend) error {
		if err := knownWorkspace(ctx, db, c.Workspace); err != nil {
			return err
		}
		var made *archive.Manifest
		err := writeNew(c.File, func(f *os.File) (err error) {
			made, err = archive.Write(ctx, f, db.In(c.Workspace))
			return err
		})
		if err == nil {
			fmt.Fprintf(to.out, "exported %d designs\n", len(made.Designs))
		}
		return err
	})
}

// knownWorkspace refuses a name that was never used, since to a store such a
// workspace is only empty.
func knownWorkspace(ctx context.Context, db storage.Backend, name string) error {
	known, err := db.Workspaces(ctx)
	if err != nil || slices.Contains(known, name) {
		return err
	}
	return fmt.Errorf("there is no workspace %q in %s; there are %s", name, db.Location(), strings.Join(known, ", "))
}

type importCommand struct {
	storeFlags
	Workspace string `default:"local" help:"Where to put the designs. A new name makes a new workspace."`
	Conflicts string `enum:"refuse,new_id" default:"refuse" help:"What to do where an id belongs to another design: refuse the whole archive, or give a new_id."`
	File      string `arg:"" type:"existingfile" help:"Archive to read."`
}

// Run takes an archive into a workspace. What is there already is left.
func (c *importCommand) Run(ctx context.Context, to streams) error {
	if err := access.CheckWorkspace(c.Workspace); err != nil {
		return err
	}
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	a, err := archive.Read(f, info.Size(), archive.FromDisk(), time.Now(), api.ReadDocument)
	if err != nil {
		return err
	}
	return c.withStore(ctx, func(db storage.Backend) error {
		r, err := a.Import(ctx, db.In(c.Workspace), c.Workspace, archive.Conflict(c.Conflicts))
		if errors.Is(err, archive.ErrConflict) {
			return fmt.Errorf("%w; nothing of them was imported; --conflicts new_id gives them new ids", err)
		}
		if err != nil {
			return err
		}
		fmt.Fprintf(to.out, "imported %d designs, %d were there\n", r.Imported, r.Skipped)
		for _, renamed := range r.Renamed {
			fmt.Fprintf(to.out, "%s is now %s\n", renamed.From, renamed.To)
		}
		return nil
	})
}
