SELECT id, title, tags, version, created_at, updated_at, deleted_at
FROM designs
WHERE id = ?1 AND workspace = ?2
