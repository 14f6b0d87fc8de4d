package rules

import (
	"context"
	"slices"

	"foldwright/storage"
)

// A Label is a name that a version has.
type Label struct {
	Name    string
	Version int
}

// SetLabel is the rule of storage.Store.SetLabel.
func SetLabel(ctx context.Context, atomically Atomically, o storage.Options, id string, l Label) error {
	if err := storage.CheckLabel(l.Name); err != nil {
		return err
	}
	return atomically(ctx, func(tx Tx) error {
		has, err := labelled(ctx, tx, id, l.Version)
		if err != nil {
			return err
		}
		known := slices.ContainsFunc(has, func(h Label) bool { return h.Name == l.Name })
		if !known && len(has) >= storage.MaxLabels {
			return &storage.QuotaError{What: "labels", Limit: storage.MaxLabels}
		}
		return tx.SetLabel(ctx, id, l, o.Now())
	})
}

// DropLabel is the rule of storage.Store.DropLabel.
func DropLabel(ctx context.Context, atomically Atomically, id string, l Label) error {
	return atomically(ctx, func(tx Tx) error {
		has, err := labelled(ctx, tx, id, l.Version)
		if err != nil {
			return err
		}
		if !slices.Contains(has, l) {
			return &storage.NoLabelError{Version: l.Version, Label: l.Name, On: versionOf(has, l.Name), Has: labelsOf(has, l.Version)}
		}
		return tx.DropLabel(ctx, id, l)
	})
}

// labelled locks a live design that has a version, and reads its labels.
func labelled(ctx context.Context, tx Tx, id string, n int) ([]Label, error) {
	current, err := lock(ctx, tx, id)
	if err != nil {
		return nil, err
	}
	if err := expect(current, anyVersion); err != nil {
		return nil, err
	}
	if n < 1 || n > current.Version {
		return nil, storage.ErrNotFound
	}
	return tx.Labels(ctx, id)
}

func versionOf(labels []Label, name string) int {
	for _, l := range labels {
		if l.Name == name {
			return l.Version
		}
	}
	return 0
}

func labelsOf(labels []Label, n int) (names []string) {
	for _, l := range labels {
		if l.Version == n {
			names = append(names, l.Name)
		}
	}
	return names
}
