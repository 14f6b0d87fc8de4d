-- +goose Up
CREATE TABLE labels (
    design_id  TEXT    NOT NULL,
    label      TEXT    NOT NULL,
    version    INTEGER NOT NULL,
    created_at INTEGER NOT NULL,
    PRIMARY KEY (design_id, label),
    FOREIGN KEY (design_id, version) REFERENCES versions (design_id, number)
) STRICT, WITHOUT ROWID;

-- What can be forgotten is found by its age.
CREATE INDEX designs_deleted ON designs (deleted_at) WHERE deleted_at IS NOT NULL;
CREATE INDEX idempotency_keys_oldest ON idempotency_keys (created_at);
CREATE INDEX idempotency_keys_design ON idempotency_keys (design_id);
