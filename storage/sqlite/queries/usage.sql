SELECT coalesce(sum(designs), 0), coalesce(sum(versions), 0), coalesce(sum(bytes), 0)
FROM (
    SELECT designs, versions, bytes FROM workspaces WHERE name = ?1
    UNION ALL
    SELECT designs, versions, bytes FROM growth WHERE workspace = ?1
)
