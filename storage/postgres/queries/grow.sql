WITH grown AS (
    INSERT INTO growth (workspace, stripe, designs, versions, bytes)
    VALUES ($1, pg_backend_pid() % 64, $2, $3, $4)
    ON CONFLICT (workspace, stripe) DO UPDATE
    SET designs = growth.designs + excluded.designs, versions = growth.versions + excluded.versions, bytes = growth.bytes + excluded.bytes
    RETURNING designs, versions, bytes
), parts AS (
    SELECT designs, versions, bytes FROM grown
    UNION ALL
    SELECT designs, versions, bytes FROM growth WHERE workspace = $1 AND stripe <> pg_backend_pid() % 64
    UNION ALL
    SELECT designs, versions, bytes FROM workspaces WHERE name = $1
)
SELECT sum(designs)::bigint, sum(versions)::bigint, sum(bytes)::bigint,
    coalesce((SELECT hooks FROM workspaces WHERE name = $1), 0),
    current_setting('max_connections')::bigint
FROM parts
