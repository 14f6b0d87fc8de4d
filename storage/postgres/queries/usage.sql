SELECT coalesce(sum(designs), 0)::bigint, coalesce(sum(versions), 0)::bigint, coalesce(sum(bytes), 0)::bigint
FROM (
    SELECT designs, versions, bytes FROM workspaces WHERE name = $1
    UNION ALL
    SELECT designs, versions, bytes FROM growth WHERE workspace = $1
) parts
