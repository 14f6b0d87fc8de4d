package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"strings"
	"time"

	"foldwright/storage"
	"foldwright/storage/internal/keyset"
	"foldwright/storage/internal/rules"
)

// rows reads what one workspace holds, from the pool or inside a transaction.
type rows struct {
	db interface {
		QueryContext(context.Context, string, ...any) (*sql.Rows, error)
		QueryRowContext(context.Context, string, ...any) *sql.Row
	}
	workspace string
}

func (r rows) Design(ctx context.Context, id string) (storage.Design, error) {
	return scanDesign(r.db.QueryRowContext(ctx, designSQL, id, r.workspace))
}

// What designs are sorted by, and what those of a tag are. The titles are as the
// index has them.
var (
	sortKeys       = map[string]string{"created": "created_at", "updated": "updated_at", "title": "substr(title_folded, 1, 60)"}
	sortKeysTagged = map[string]string{"created": "t.created_at", "updated": "d.updated_at", "title": "substr(d.title_folded, 1, 60)"}
)

// inOrder puts an order into a statement. Where that is not of when designs were
// updated, the plus keeps SQLite from looking those up and sorting them.
func inOrder(statement string, s storage.Sort, keys map[string]string) string {
	if key, _ := s.By(); key != "updated" {
		statement = strings.Replace(statement, "AND designs.updated_at", "AND +designs.updated_at", 1)
	}
	return keyset.Order(statement, s, keys)
}

func (r rows) Designs(ctx context.Context, q storage.Query, after keyset.Place, n int) ([]storage.Design, error) {
	words, err := json.Marshal(append([]string{}, q.Words()...))
	if err != nil {
		return nil, err
	}
	var from any = after.At.UnixMicro()
	if key, _ := q.Sort.By(); key == "title" {
		from = after.Title
	}
	query, keys, arguments := designsSQL, sortKeys, []any{
		q.Deleted, from, after.ID, string(words), n, r.workspace, q.Since.UnixMicro(), q.Label,
	}
	if len(q.Tags) > 0 {
		others, err := json.Marshal(append([]string{}, q.Tags[1:]...))
		if err != nil {
			return nil, err
		}
		query, keys, arguments = designsTaggedSQL, sortKeysTagged, append(arguments, q.Tags[0], string(others))
	}
	found, err := r.db.QueryContext(ctx, inOrder(query, q.Sort, keys), arguments...)
	return collect(found, err, scanDesign)
}

func (r rows) Version(ctx context.Context, id string, n int) (storage.Version, error) {
	v := storage.Version{DesignID: id, Number: n}
	var created int64
	err := r.db.QueryRowContext(ctx, versionSQL, id, n).
		Scan(&v.Hash, &created, &v.Message, &v.Author, &v.Document)
	v.CreatedAt = at(created)
	return v, orNotFound(err)
}

func (r rows) VersionHash(ctx context.Context, id string, n int) (hash string, err error) {
	err = r.db.QueryRowContext(ctx, versionHashSQL, id, n).Scan(&hash)
	return hash, orNotFound(err)
}

func (r rows) Versions(ctx context.Context, id string, below, n int) ([]storage.Version, error) {
	found, err := r.db.QueryContext(ctx, versionsSQL, id, below, n)
	return collect(found, err, func(row scanner) (storage.Version, error) {
		v := storage.Version{DesignID: id}
		var created int64
		err := row.Scan(&v.Number, &v.Hash, &created, &v.Message, &v.Author)
		v.CreatedAt = at(created)
		return v, err
	})
}

func (r rows) DesignsAfter(ctx context.Context, id string, n int) ([]storage.Design, error) {
	found, err := r.db.QueryContext(ctx, designsAfterSQL, r.workspace, id, n)
	return collect(found, err, scanDesign)
}

func (r rows) Labels(ctx context.Context, designID string) ([]rules.Label, error) {
	found, err := r.db.QueryContext(ctx, labelsSQL, designID)
	return collect(found, err, func(row scanner) (l rules.Label, err error) { return l, row.Scan(&l.Name, &l.Version) })
}

func (r rows) Keys(ctx context.Context) ([]storage.Key, error) {
	found, err := r.db.QueryContext(ctx, keysSQL, r.workspace)
	return collect(found, err, scanKey)
}

func (r rows) Shares(ctx context.Context, designID string) ([]storage.Share, error) {
	found, err := r.db.QueryContext(ctx, sharesSQL, designID)
	return collect(found, err, scanShare)
}

func (r rows) Usage(ctx context.Context) (u storage.Usage, err error) {
	return u, r.db.QueryRowContext(ctx, usageSQL, r.workspace).Scan(&u.Designs, &u.Versions, &u.Bytes)
}

type scanner interface{ Scan(...any) error }

func scanDesign(row scanner) (storage.Design, error) {
	var (
		d                storage.Design
		tags             []byte
		created, updated int64
		deleted          *int64
	)
	err := row.Scan(&d.ID, &d.Title, &tags, &d.Version, &created, &updated, &deleted)
	if err != nil {
		return storage.Design{}, orNotFound(err)
	}
	d.CreatedAt, d.UpdatedAt = at(created), at(updated)
	d.DeletedAt = atOrNever(deleted)
	return d, json.Unmarshal(tags, &d.Tags)
}

func scanKey(row scanner) (storage.Key, error) {
	var (
		k                      storage.Key
		origins                []byte
		created                int64
		expires, used, revoked *int64
	)
	err := row.Scan(&k.ID, &k.Workspace, &k.Name, &k.Scope, &origins, &created, &expires, &used, &revoked)
	if err != nil {
		return storage.Key{}, orNotFound(err)
	}
	k.CreatedAt, k.ExpiresAt, k.LastUsedAt, k.RevokedAt = at(created), atOrNever(expires), atOrNever(used), atOrNever(revoked)
	return k, json.Unmarshal(origins, &k.Origins)
}

func scanShare(row scanner) (storage.Share, error) {
	var (
		s                storage.Share
		created          int64
		expires, revoked *int64
	)
	err := row.Scan(&s.ID, &s.Workspace, &s.DesignID, &s.Version, &s.Name, &created, &expires, &revoked)
	if err != nil {
		return storage.Share{}, orNotFound(err)
	}
	s.CreatedAt, s.ExpiresAt, s.RevokedAt = at(created), atOrNever(expires), atOrNever(revoked)
	return s, nil
}

func collect[T any](found *sql.Rows, err error, scan func(scanner) (T, error)) ([]T, error) {
	if err != nil {
		return nil, err
	}
	defer found.Close()
	all := []T{}
	for found.Next() {
		one, err := scan(found)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, found.Err()
}

func orNotFound(err error) error {
	if err == sql.ErrNoRows {
		return storage.ErrNotFound
	}
	return err
}

func at(micros int64) time.Time { return time.UnixMicro(micros).UTC() }

func atOrNever(micros *int64) *time.Time {
	if micros == nil {
		return nil
	}
	return new(at(*micros))
}
