INSERT INTO workspaces (name, designs, versions, bytes)
VALUES (?1, ?2, ?3, ?4)
ON CONFLICT (name) DO UPDATE
SET designs = designs + excluded.designs, versions = versions + excluded.versions, bytes = bytes + excluded.bytes
RETURNING
    designs + (SELECT coalesce(sum(designs), 0) FROM growth WHERE workspace = ?1),
    versions + (SELECT coalesce(sum(versions), 0) FROM growth WHERE workspace = ?1),
    bytes + (SELECT coalesce(sum(bytes), 0) FROM growth WHERE workspace = ?1),
    hooks
