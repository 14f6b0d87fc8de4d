-- +goose Up
CREATE TABLE labels (
    design_id  text COLLATE "C" NOT NULL,
    label      text COLLATE "C" NOT NULL,
    version    bigint           NOT NULL,
    created_at timestamptz      NOT NULL,
    PRIMARY KEY (design_id, label),
    FOREIGN KEY (design_id, version) REFERENCES versions (design_id, number)
);

-- What can be forgotten is found by its age.
CREATE INDEX designs_deleted ON designs (deleted_at) WHERE deleted_at IS NOT NULL;
CREATE INDEX idempotency_keys_oldest ON idempotency_keys (created_at);
CREATE INDEX idempotency_keys_design ON idempotency_keys (design_id);
