package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

// keyCommand works on the database itself: who can reach that needs no key.
type keyCommand struct {
	Create keyCreate `cmd:"" help:"Make a key and show it, once."`
	List   keyList   `cmd:"" help:"List the keys, revoked and expired ones too."`
	Revoke keyRevoke `cmd:"" help:"Make a key good for nothing."`
}

type keyCreate struct {
	storeFlags
	Workspace string   `default:"local" help:"Whose designs it opens. A new name makes a new workspace."`
	Scope     string   `required:"" enum:"browser,read,write,admin" help:"What it is good for: read, write or admin, each with the one before; or browser, for the pages of a website."`
	Name      string   `help:"What it is for, to tell it from others."`
	Origin    []string `placeholder:"ORIGIN" help:"Where the pages are that use a browser key, as in https://workshop.example. May be repeated."`
	ValidDays int      `placeholder:"DAYS" help:"How long it is good. Left out, until it is revoked."`
}

// Run makes a key.
func (c *keyCreate) Run(ctx context.Context, to streams) error {
	if err := access.CheckWorkspace(c.Workspace); err != nil {
		return err
	}
	scope := access.Scope(c.Scope)
	secret := access.NewSecret(scope.SecretKind())
	nk := storage.NewKey{Name: c.Name, Scope: scope, Origins: c.Origin, Hash: access.Hash(secret)}
	if c.ValidDays < 0 {
		return errors.New("--valid-days must be at least 1")
	}
	if c.ValidDays > 0 {
		nk.ExpiresAt = new(time.Now().AddDate(0, 0, c.ValidDays))
	}
	return c.withStore(ctx, func(db storage.Backend) error {
		k, err := db.In(c.Workspace).AddKey(ctx, nk)
		if err != nil {
			return err
		}
		fmt.Fprintln(to.out, secret)
		fmt.Fprintf(to.err, "This is the only time the key is shown. It opens the workspace %s and has the id %s.\n", k.Workspace, k.ID)
		return nil
	})
}

type keyList struct {
	storeFlags
	Workspace string `help:"Only of this workspace."`
}

// Run lists keys.
func (c *keyList) Run(ctx context.Context, to streams) error {
	return c.withKept(ctx, func(db storage.Backend) error {
		workspaces, err := workspacesOr(ctx, db, c.Workspace)
		if err != nil {
			return err
		}
		table := tabwriter.NewWriter(to.out, 0, 0, 2, ' ', 0)
		fmt.Fprintln(table, "ID\tWORKSPACE\tSCOPE\tSTATE\tCREATED\tLAST USED\tNAME")
		for _, workspace := range workspaces {
			keys, err := db.In(workspace).Keys(ctx)
			if err != nil {
				return err
			}
			for i := range keys {
				tellKey(table, &keys[i])
			}
		}
		return table.Flush()
	})
}

func tellKey(w io.Writer, k *storage.Key) {
	state := "good"
	switch {
	case k.RevokedAt != nil:
		state = "revoked " + day(k.RevokedAt)
	case !k.Live(time.Now()):
		state = "expired " + day(k.ExpiresAt)
	case k.ExpiresAt != nil:
		state = "until " + day(k.ExpiresAt)
	}
	name := strings.TrimSpace(fmt.Sprintf("%s %s", k.Name, strings.Join(k.Origins, " ")))
	fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", k.ID, k.Workspace, k.Scope, state, day(&k.CreatedAt), day(k.LastUsedAt), name)
}

func day(t *time.Time) string {
	if t == nil {
		return "never"
	}
	return t.Format(time.DateOnly)
}

type keyRevoke struct {
	storeFlags
	ID string `arg:"" help:"The key's id, as listed."`
}

// Run revokes a key of whichever workspace.
func (c *keyRevoke) Run(ctx context.Context, to streams) error {
	return c.withKept(ctx, func(db storage.Backend) error {
		workspaces, err := db.Workspaces(ctx)
		if err != nil {
			return err
		}
		for _, workspace := range workspaces {
			switch err := db.In(workspace).RevokeKey(ctx, c.ID); {
			case err == nil:
				fmt.Fprintln(to.out, "revoked")
				return nil
			case !errors.Is(err, storage.ErrNotFound):
				return err
			}
		}
		return fmt.Errorf("there is no key with the id %s; foldwright key list shows them", access.Redact(c.ID))
	})
}

// workspacesOr is one workspace, or all where none is named.
func workspacesOr(ctx context.Context, db storage.Backend, one string) ([]string, error) {
	if one == "" {
		return db.Workspaces(ctx)
	}
	return []string{one}, access.CheckWorkspace(one)
}
