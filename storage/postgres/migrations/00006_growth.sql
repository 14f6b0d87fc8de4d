-- What a workspace keeps beyond what its row counts. It is spread over many
-- rows, so that those who write at once do not wait for one another's commits.

-- +goose Up
CREATE TABLE growth (
    workspace text COLLATE "C" NOT NULL,
    stripe    bigint           NOT NULL,
    designs   bigint           NOT NULL,
    versions  bigint           NOT NULL,
    bytes     bigint           NOT NULL,
    PRIMARY KEY (workspace, stripe)
) WITH (fillfactor = 20); -- each row changes all the time, and stays on its page
