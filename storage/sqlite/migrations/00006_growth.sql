-- What a workspace keeps beyond what its row counts. Postgres spreads it over
-- many rows; here, where one writes at a time, only a restored backup has some.

-- +goose Up
CREATE TABLE growth (
    workspace TEXT    NOT NULL,
    stripe    INTEGER NOT NULL,
    designs   INTEGER NOT NULL,
    versions  INTEGER NOT NULL,
    bytes     INTEGER NOT NULL,
    PRIMARY KEY (workspace, stripe)
) STRICT, WITHOUT ROWID;
