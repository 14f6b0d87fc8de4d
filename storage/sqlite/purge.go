package sqlite

import (
	"context"
	"time"

	"foldwright/storage/internal/rules"
)

// Purge is the rule of the contract on this database.
func (s *Store) Purge(ctx context.Context, most int) (int, error) {
	n, err := rules.Purge(ctx, purger{s}, s.options, most)
	return n, interpretError(ctx, err)
}

type purger struct{ *Store }

func (p purger) LongDeleted(ctx context.Context, by time.Time, n int) ([]rules.Place, error) {
	found, err := p.readers.QueryContext(ctx, longDeletedSQL, by.UnixMicro(), n)
	return collect(found, err, func(row scanner) (at rules.Place, err error) { return at, row.Scan(&at.Workspace, &at.DesignID) })
}

func (p purger) ForgetKeys(ctx context.Context, before time.Time, n int) (int, error) {
	result, err := p.writer.ExecContext(ctx, forgetKeysSQL, before.UnixMicro(), n)
	if err != nil {
		return 0, err
	}
	deleted, err := result.RowsAffected()
	return int(deleted), err
}

func (p purger) Within(name string) rules.Atomically {
	return workspace{db: p.Store, name: name}.atomically
}
