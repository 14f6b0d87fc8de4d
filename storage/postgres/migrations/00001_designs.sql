-- Text that is compared or sorted has the collation "C", bytes, so that order
-- depends on no server's locale and agrees with the other driver.

-- +goose Up
CREATE TABLE designs (
    id           text COLLATE "C"   NOT NULL PRIMARY KEY,
    title        text               NOT NULL,
    title_folded text COLLATE "C"   NOT NULL, -- folded by the program, for searching
    tags         text[] COLLATE "C" NOT NULL,
    version      bigint             NOT NULL,
    created_at   timestamptz        NOT NULL,
    updated_at   timestamptz        NOT NULL,
    deleted_at   timestamptz
);

-- Serves the list in its own order, for live and for deleted designs.
CREATE INDEX designs_newest ON designs ((deleted_at IS NOT NULL), created_at DESC, id DESC);

CREATE INDEX designs_tags ON designs USING gin (tags);

CREATE TABLE versions (
    design_id  text COLLATE "C" NOT NULL REFERENCES designs (id),
    number     bigint           NOT NULL,
    hash       text             NOT NULL,
    created_at timestamptz      NOT NULL,
    message    text             NOT NULL,
    author     text             NOT NULL,
    document   bytea            NOT NULL,
    PRIMARY KEY (design_id, number)
);

-- The key is recorded before what it makes, hence the deferred reference.
CREATE TABLE idempotency_keys (
    key         text COLLATE "C" NOT NULL PRIMARY KEY,
    fingerprint text             NOT NULL,
    design_id   text COLLATE "C" NOT NULL,
    version     bigint           NOT NULL,
    created_at  timestamptz      NOT NULL,
    FOREIGN KEY (design_id, version) REFERENCES versions (design_id, number)
        DEFERRABLE INITIALLY DEFERRED
);
