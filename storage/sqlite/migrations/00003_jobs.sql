-- Times are microseconds, so that the queue's statements are the same in every
-- database.

-- +goose Up
CREATE TABLE jobs (
    id              TEXT    NOT NULL PRIMARY KEY,
    workspace       TEXT    NOT NULL,
    operation       TEXT    NOT NULL,
    media           TEXT    NOT NULL, -- of the result
    state           TEXT    NOT NULL,
    attempts        INTEGER NOT NULL,
    progress_done   INTEGER NOT NULL,
    progress_of     INTEGER NOT NULL,
    created_at      INTEGER NOT NULL,
    started_at      INTEGER,
    ended_at        INTEGER,
    expires_at      INTEGER, -- NULL until it has ended
    claim           TEXT   , -- of the worker that runs it
    leased_until    INTEGER, -- when the claim is lost
    idempotency_key TEXT   ,
    fingerprint     TEXT   ,
    problem         BLOB   ,
    request         BLOB    NOT NULL,
    result          BLOB   ,
    UNIQUE (workspace, idempotency_key)
) STRICT;
CREATE INDEX jobs_newest ON jobs (workspace, created_at DESC, id DESC);
CREATE INDEX jobs_open ON jobs (state, workspace) WHERE state IN ('queued', 'running');
CREATE INDEX jobs_expiry ON jobs (expires_at) WHERE expires_at IS NOT NULL;
