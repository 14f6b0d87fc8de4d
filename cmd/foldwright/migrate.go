package main

import (
	"context"
	"fmt"
)

type migrateCommand struct{ storeFlags }

// Run brings the database to this release.
func (c *migrateCommand) Run(ctx context.Context, to streams) error {
	if err := c.migrate(ctx); err != nil {
		return err
	}
	fmt.Fprintln(to.out, "the database is up to date")
	return nil
}
