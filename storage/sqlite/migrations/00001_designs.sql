-- Times are microseconds since 1970, UTC.

-- +goose Up
CREATE TABLE designs (
    id           TEXT    NOT NULL PRIMARY KEY,
    title        TEXT    NOT NULL,
    title_folded TEXT    NOT NULL, -- folded by the program, for searching
    tags         TEXT    NOT NULL, -- JSON list, in the order given
    version      INTEGER NOT NULL,
    created_at   INTEGER NOT NULL,
    updated_at   INTEGER NOT NULL,
    deleted_at   INTEGER
) STRICT;

-- Serves the list in its own order, for live and for deleted designs.
CREATE INDEX designs_newest ON designs ((deleted_at IS NOT NULL), created_at DESC, id DESC);

-- The same tags again, as an index over designs.tags in the order of the list:
-- a page of a rare tag costs no more than one of a tag that all designs have.
CREATE TABLE design_tags (
    tag        TEXT    NOT NULL,
    created_at INTEGER NOT NULL, -- the design's, which never changes
    design_id  TEXT    NOT NULL REFERENCES designs (id),
    PRIMARY KEY (tag, created_at, design_id)
) STRICT, WITHOUT ROWID;

CREATE INDEX design_tags_design ON design_tags (design_id);

CREATE TABLE versions (
    design_id  TEXT    NOT NULL REFERENCES designs (id),
    number     INTEGER NOT NULL,
    hash       TEXT    NOT NULL,
    created_at INTEGER NOT NULL,
    message    TEXT    NOT NULL,
    author     TEXT    NOT NULL,
    document   BLOB    NOT NULL, -- last, so that listing need not walk over it
    PRIMARY KEY (design_id, number)
) STRICT;

-- The key is recorded before what it makes, hence the deferred reference.
CREATE TABLE idempotency_keys (
    key         TEXT    NOT NULL PRIMARY KEY,
    fingerprint TEXT    NOT NULL,
    design_id   TEXT    NOT NULL,
    version     INTEGER NOT NULL,
    created_at  INTEGER NOT NULL,
    FOREIGN KEY (design_id, version) REFERENCES versions (design_id, number)
        DEFERRABLE INITIALLY DEFERRED
) STRICT;
