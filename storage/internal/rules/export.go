package rules

import (
	"context"

	"foldwright/storage"
)

// exportPage is how many designs are read at a time.
const exportPage = 200

// Export is the rule of storage.Store.Export, for a reader of one moment.
func Export(ctx context.Context, r Reader, visit storage.Visit) error {
	for last := ""; ; {
		designs, err := r.DesignsAfter(ctx, last, exportPage)
		if err != nil || len(designs) == 0 {
			return err
		}
		for _, d := range designs {
			labels, err := r.Labels(ctx, d.ID)
			if err != nil {
				return err
			}
			err = visit(d, func(n int) (storage.Version, error) {
				v, err := r.Version(ctx, d.ID, n)
				v.Labels = labelsOf(labels, n)
				return v, err
			})
			if err != nil {
				return err
			}
			last = d.ID
		}
	}
}
