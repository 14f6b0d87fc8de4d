-- Times are microseconds, so that the queue's statements are the same in every
-- database.

-- +goose Up
CREATE TABLE jobs (
    id              text COLLATE "C" NOT NULL PRIMARY KEY,
    workspace       text COLLATE "C" NOT NULL,
    operation       text COLLATE "C" NOT NULL,
    media           text COLLATE "C" NOT NULL, -- of the result
    state           text COLLATE "C" NOT NULL,
    attempts        bigint           NOT NULL,
    progress_done   bigint           NOT NULL,
    progress_of     bigint           NOT NULL,
    created_at      bigint           NOT NULL,
    started_at      bigint          ,
    ended_at        bigint          ,
    expires_at      bigint          , -- NULL until it has ended
    claim           text COLLATE "C", -- of the worker that runs it
    leased_until    bigint          , -- when the claim is lost
    idempotency_key text COLLATE "C",
    fingerprint     text COLLATE "C",
    problem         bytea           ,
    request         bytea            NOT NULL,
    result          bytea           ,
    UNIQUE (workspace, idempotency_key)
);
CREATE INDEX jobs_newest ON jobs (workspace, created_at DESC, id DESC);
CREATE INDEX jobs_open ON jobs (state, workspace) WHERE state IN ('queued', 'running');
CREATE INDEX jobs_expiry ON jobs (expires_at) WHERE expires_at IS NOT NULL;
