-- Times are microseconds, as of jobs.

-- +goose Up
CREATE TABLE hooks (
    id            TEXT    NOT NULL PRIMARY KEY,
    workspace     TEXT    NOT NULL,
    url           TEXT    NOT NULL,
    events        TEXT    NOT NULL, -- types, with a space before and after each
    secret        TEXT    NOT NULL, -- to sign with, so it is kept as it is
    created_at    INTEGER NOT NULL,
    off_at        INTEGER, -- NULL while it is on
    off_why       TEXT    NOT NULL,
    failures      INTEGER NOT NULL, -- since something arrived
    failing_since INTEGER,
    served_at     INTEGER NOT NULL, -- when it was last claimed
    paused_until  INTEGER NOT NULL,
    claim         TEXT   , -- of the worker that sends to it
    leased_until  INTEGER  -- when the claim is lost
) STRICT;
CREATE INDEX hooks_oldest ON hooks (workspace, created_at, id);

-- Events for hooks, written together with what they tell of.
CREATE TABLE deliveries (
    hook_id    TEXT    NOT NULL REFERENCES hooks (id) ON DELETE CASCADE,
    event_id   TEXT    NOT NULL,
    type       TEXT    NOT NULL,
    about      TEXT    NOT NULL, -- JSON
    created_at INTEGER NOT NULL,
    state      TEXT    NOT NULL,
    attempts   INTEGER NOT NULL,
    last_at    INTEGER,
    status     INTEGER NOT NULL,
    error      TEXT    NOT NULL,
    due_at     INTEGER, -- NULL unless it is pending
    expires_at INTEGER, -- NULL while it is
    PRIMARY KEY (hook_id, event_id)
) STRICT;
CREATE INDEX deliveries_due ON deliveries (hook_id, due_at, event_id) WHERE state = 'pending';
CREATE INDEX deliveries_newest ON deliveries (hook_id, created_at DESC, event_id DESC);
CREATE INDEX deliveries_expiry ON deliveries (expires_at) WHERE expires_at IS NOT NULL;

-- How many hooks are on, counted here so that writes without any cost nothing.
ALTER TABLE workspaces ADD COLUMN hooks INTEGER NOT NULL DEFAULT 0;
