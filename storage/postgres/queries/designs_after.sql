SELECT id, title, tags, version, created_at, updated_at, deleted_at
FROM designs
WHERE workspace = $1 AND id > $2
ORDER BY id
LIMIT $3
