package rules

import (
	"context"
	"strings"

	"foldwright/storage"
	"foldwright/storage/internal/keyset"
)

// A Reader reads the committed rows of one workspace. Methods that look for one
// return storage.ErrNotFound when there is none.
//
// Versions and shares are found by their design alone, so whoever reads them
// has found the design in the workspace before.
type Reader interface {
	Design(ctx context.Context, id string) (storage.Design, error)

	// Designs reads up to n designs that match q, its limit and cursor aside,
	// and come after a place in its order.
	Designs(ctx context.Context, q storage.Query, after keyset.Place, n int) ([]storage.Design, error)

	Version(ctx context.Context, id string, n int) (storage.Version, error)

	// Versions reads up to n versions numbered below one, newest first.
	Versions(ctx context.Context, id string, below, n int) ([]storage.Version, error)

	// DesignsAfter reads up to n designs, live and deleted, with ids above one,
	// by ascending id.
	DesignsAfter(ctx context.Context, id string, n int) ([]storage.Design, error)

	// Labels reads a design's, by label.
	Labels(ctx context.Context, designID string) ([]Label, error)

	Keys(ctx context.Context) ([]storage.Key, error)
	Shares(ctx context.Context, designID string) ([]storage.Share, error)

	// Usage of a workspace that was never used is zero.
	Usage(ctx context.Context) (storage.Usage, error)
}

// Get is the rule of storage.Store.Get.
func Get(ctx context.Context, r Reader, id string) (storage.Design, error) {
	// Such an id was never made, and Postgres would refuse to compare with it.
	if !storage.ValidText(id) {
		return storage.Design{}, storage.ErrNotFound
	}
	d, err := r.Design(ctx, id)
	if err != nil {
		return storage.Design{}, err
	}
	if d.DeletedAt != nil {
		return storage.Design{}, storage.ErrDeleted
	}
	return d, nil
}

// Head is the rule of storage.Store.Head.
func Head(ctx context.Context, r Reader, o storage.Options, id string) (storage.Design, error) {
	if !storage.ValidText(id) {
		return storage.Design{}, storage.ErrNotFound
	}
	d, err := r.Design(ctx, id)
	return o.Dated(d), err
}

// List is the rule of storage.Store.List.
func List(ctx context.Context, r Reader, o storage.Options, q storage.Query) (storage.Page, error) {
	if err := q.Sort.Validate(); err != nil {
		return storage.Page{}, err
	}
	after, err := keyset.Designs(q)
	if err != nil {
		return storage.Page{}, err
	}
	if !storage.ValidText(strings.Join(append([]string{q.Search, q.Label}, q.Tags...), "")) {
		return storage.Page{Designs: []storage.Design{}}, nil
	}
	limit := keyset.Limit(q.Limit)
	designs, err := r.Designs(ctx, q, after, limit+1)
	if err != nil {
		return storage.Page{}, err
	}
	for i := range designs {
		designs[i] = o.Dated(designs[i])
	}
	page := storage.Page{Designs: designs}
	if len(designs) > limit {
		page.Designs = designs[:limit]
		page.Next = keyset.AfterDesign(q, designs[limit-1])
	}
	return page, nil
}

// Version is the rule of storage.Store.Version.
func Version(ctx context.Context, r Reader, id string, n int) (storage.Version, error) {
	// Versions never change, so two reads see what one would have seen.
	if _, err := Get(ctx, r, id); err != nil {
		return storage.Version{}, err
	}
	return r.Version(ctx, id, n)
}

// Versions is the rule of storage.Store.Versions.
func Versions(ctx context.Context, r Reader, id string, q storage.VersionQuery) (storage.VersionPage, error) {
	below, err := keyset.Versions(id, q.Cursor)
	if err != nil {
		return storage.VersionPage{}, err
	}
	if _, err := Get(ctx, r, id); err != nil {
		return storage.VersionPage{}, err
	}
	limit := keyset.Limit(q.Limit)
	versions, err := r.Versions(ctx, id, below, limit+1)
	if err != nil {
		return storage.VersionPage{}, err
	}
	labels, err := r.Labels(ctx, id)
	if err != nil {
		return storage.VersionPage{}, err
	}
	for i := range versions {
		versions[i].Labels = labelsOf(labels, versions[i].Number)
	}
	page := storage.VersionPage{Versions: versions}
	if len(versions) > limit {
		page.Versions = versions[:limit]
		page.Next = keyset.AfterVersion(id, versions[limit-1].Number)
	}
	return page, nil
}
