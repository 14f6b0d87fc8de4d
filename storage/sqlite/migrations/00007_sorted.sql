-- Serves the list in its other orders, either way round. A title is sorted by as
-- much as surely fits into an index.

-- +goose Up
CREATE INDEX designs_updated ON designs (workspace, (deleted_at IS NOT NULL), updated_at, id);
CREATE INDEX designs_titled ON designs (workspace, (deleted_at IS NOT NULL), substr(title_folded, 1, 60), id);
