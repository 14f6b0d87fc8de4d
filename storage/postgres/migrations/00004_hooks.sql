-- Times are microseconds, as of jobs.

-- +goose Up
CREATE TABLE hooks (
    id            text COLLATE "C" NOT NULL PRIMARY KEY,
    workspace     text COLLATE "C" NOT NULL,
    url           text COLLATE "C" NOT NULL,
    events        text COLLATE "C" NOT NULL, -- types, with a space before and after each
    secret        text COLLATE "C" NOT NULL, -- to sign with, so it is kept as it is
    created_at    bigint           NOT NULL,
    off_at        bigint          , -- NULL while it is on
    off_why       text COLLATE "C" NOT NULL,
    failures      bigint           NOT NULL, -- since something arrived
    failing_since bigint          ,
    served_at     bigint           NOT NULL, -- when it was last claimed
    paused_until  bigint           NOT NULL,
    claim         text COLLATE "C", -- of the worker that sends to it
    leased_until  bigint            -- when the claim is lost
);
CREATE INDEX hooks_oldest ON hooks (workspace, created_at, id);

-- Events for hooks, written together with what they tell of.
CREATE TABLE deliveries (
    hook_id    text COLLATE "C" NOT NULL REFERENCES hooks (id) ON DELETE CASCADE,
    event_id   text COLLATE "C" NOT NULL,
    type       text COLLATE "C" NOT NULL,
    about      text COLLATE "C" NOT NULL, -- JSON
    created_at bigint           NOT NULL,
    state      text COLLATE "C" NOT NULL,
    attempts   bigint           NOT NULL,
    last_at    bigint          ,
    status     bigint           NOT NULL,
    error      text COLLATE "C" NOT NULL,
    due_at     bigint          , -- NULL unless it is pending
    expires_at bigint          , -- NULL while it is
    PRIMARY KEY (hook_id, event_id)
);
CREATE INDEX deliveries_due ON deliveries (hook_id, due_at, event_id) WHERE state = 'pending';
CREATE INDEX deliveries_newest ON deliveries (hook_id, created_at DESC, event_id DESC);
CREATE INDEX deliveries_expiry ON deliveries (expires_at) WHERE expires_at IS NOT NULL;

-- How many hooks are on, counted here so that writes without any cost nothing.
ALTER TABLE workspaces ADD COLUMN hooks bigint NOT NULL DEFAULT 0;
