package postgres

import (
	"context"
	"time"

	"foldwright/storage/internal/rules"

	"github.com/jackc/pgx/v5"
)

// Purge is the rule of the contract on this database.
func (s *Store) Purge(ctx context.Context, most int) (int, error) {
	n, err := rules.Purge(ctx, purger{s}, s.options, most)
	return n, interpretError(ctx, err)
}

type purger struct{ *Store }

func (p purger) LongDeleted(ctx context.Context, by time.Time, n int) ([]rules.Place, error) {
	found, err := p.pool.Query(ctx, longDeletedSQL, by, n)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(found, pgx.RowToStructByPos[rules.Place])
}

func (p purger) ForgetKeys(ctx context.Context, before time.Time, n int) (int, error) {
	tag, err := p.pool.Exec(ctx, forgetKeysSQL, before, n)
	return int(tag.RowsAffected()), err
}

func (p purger) Within(name string) rules.Atomically {
	return workspace{db: p.Store, name: name}.atomically
}
