-- What is there already goes to the workspace of whoever ran the service alone.

-- +goose Up
ALTER TABLE designs ADD COLUMN workspace text COLLATE "C" NOT NULL DEFAULT 'local';
ALTER TABLE designs ALTER COLUMN workspace DROP DEFAULT;

DROP INDEX designs_newest;
CREATE INDEX designs_newest ON designs (workspace, (deleted_at IS NOT NULL), created_at DESC, id DESC);

ALTER TABLE idempotency_keys ADD COLUMN workspace text COLLATE "C" NOT NULL DEFAULT 'local';
ALTER TABLE idempotency_keys ALTER COLUMN workspace DROP DEFAULT;
ALTER TABLE idempotency_keys DROP CONSTRAINT idempotency_keys_pkey;
ALTER TABLE idempotency_keys ADD PRIMARY KEY (workspace, key);

-- What each workspace keeps, counted here so that a quota costs one row.
CREATE TABLE workspaces (
    name     text COLLATE "C" NOT NULL PRIMARY KEY,
    designs  bigint           NOT NULL, -- that are not deleted
    versions bigint           NOT NULL,
    bytes    bigint           NOT NULL -- of documents
);
INSERT INTO workspaces SELECT 'local',
    (SELECT count(*) FROM designs WHERE deleted_at IS NULL),
    (SELECT count(*) FROM versions),
    (SELECT coalesce(sum(length(document)), 0) FROM versions);

CREATE TABLE access_keys (
    id           text COLLATE "C"   NOT NULL PRIMARY KEY,
    workspace    text COLLATE "C"   NOT NULL,
    name         text               NOT NULL,
    scope        text               NOT NULL,
    origins      text[] COLLATE "C" NOT NULL,
    hash         text COLLATE "C"   NOT NULL UNIQUE, -- of the secret, which is not kept
    created_at   timestamptz        NOT NULL,
    expires_at   timestamptz,
    last_used_at timestamptz,
    revoked_at   timestamptz
);
CREATE INDEX access_keys_oldest ON access_keys (workspace, created_at, id);

CREATE TABLE shares (
    id         text COLLATE "C" NOT NULL PRIMARY KEY,
    workspace  text COLLATE "C" NOT NULL, -- the design's, which never changes
    design_id  text COLLATE "C" NOT NULL REFERENCES designs (id),
    version    bigint, -- NULL is every version
    name       text             NOT NULL,
    hash       text COLLATE "C" NOT NULL UNIQUE, -- of the secret, which is not kept
    created_at timestamptz      NOT NULL,
    expires_at timestamptz,
    revoked_at timestamptz,
    FOREIGN KEY (design_id, version) REFERENCES versions (design_id, number)
);
CREATE INDEX shares_oldest ON shares (design_id, created_at, id);
