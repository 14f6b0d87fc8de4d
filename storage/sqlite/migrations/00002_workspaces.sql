-- What is there already goes to the workspace of whoever ran the service alone.

-- +goose Up
ALTER TABLE designs ADD COLUMN workspace TEXT NOT NULL DEFAULT 'local';

DROP INDEX designs_newest;
CREATE INDEX designs_newest ON designs (workspace, (deleted_at IS NOT NULL), created_at DESC, id DESC);

CREATE TABLE workspace_tags (
    workspace  TEXT    NOT NULL, -- the design's, which never changes
    tag        TEXT    NOT NULL,
    created_at INTEGER NOT NULL, -- the design's, which never changes
    design_id  TEXT    NOT NULL REFERENCES designs (id),
    PRIMARY KEY (workspace, tag, created_at, design_id)
) STRICT, WITHOUT ROWID;
INSERT INTO workspace_tags SELECT 'local', tag, created_at, design_id FROM design_tags;
DROP TABLE design_tags;
ALTER TABLE workspace_tags RENAME TO design_tags;
CREATE INDEX design_tags_design ON design_tags (design_id);

CREATE TABLE workspace_idempotency_keys (
    workspace   TEXT    NOT NULL,
    key         TEXT    NOT NULL,
    fingerprint TEXT    NOT NULL,
    design_id   TEXT    NOT NULL,
    version     INTEGER NOT NULL,
    created_at  INTEGER NOT NULL,
    PRIMARY KEY (workspace, key),
    FOREIGN KEY (design_id, version) REFERENCES versions (design_id, number)
        DEFERRABLE INITIALLY DEFERRED
) STRICT;
INSERT INTO workspace_idempotency_keys SELECT 'local', key, fingerprint, design_id, version, created_at FROM idempotency_keys;
DROP TABLE idempotency_keys;
ALTER TABLE workspace_idempotency_keys RENAME TO idempotency_keys;

-- What each workspace keeps, counted here so that a quota costs one row.
CREATE TABLE workspaces (
    name     TEXT    NOT NULL PRIMARY KEY,
    designs  INTEGER NOT NULL, -- that are not deleted
    versions INTEGER NOT NULL,
    bytes    INTEGER NOT NULL -- of documents
) STRICT;
INSERT INTO workspaces SELECT 'local',
    (SELECT count(*) FROM designs WHERE deleted_at IS NULL),
    (SELECT count(*) FROM versions),
    (SELECT coalesce(sum(length(document)), 0) FROM versions);

CREATE TABLE access_keys (
    id           TEXT    NOT NULL PRIMARY KEY,
    workspace    TEXT    NOT NULL,
    name         TEXT    NOT NULL,
    scope        TEXT    NOT NULL,
    origins      TEXT    NOT NULL, -- JSON list
    hash         TEXT    NOT NULL UNIQUE, -- of the secret, which is not kept
    created_at   INTEGER NOT NULL,
    expires_at   INTEGER,
    last_used_at INTEGER,
    revoked_at   INTEGER
) STRICT;
CREATE INDEX access_keys_oldest ON access_keys (workspace, created_at, id);

CREATE TABLE shares (
    id         TEXT    NOT NULL PRIMARY KEY,
    workspace  TEXT    NOT NULL, -- the design's, which never changes
    design_id  TEXT    NOT NULL REFERENCES designs (id),
    version    INTEGER, -- NULL is every version
    name       TEXT    NOT NULL,
    hash       TEXT    NOT NULL UNIQUE, -- of the secret, which is not kept
    created_at INTEGER NOT NULL,
    expires_at INTEGER,
    revoked_at INTEGER,
    FOREIGN KEY (design_id, version) REFERENCES versions (design_id, number)
) STRICT;
CREATE INDEX shares_oldest ON shares (design_id, created_at, id);
