SELECT d.id, d.title, d.tags, d.version, d.created_at, d.updated_at, d.deleted_at, v.hash
FROM designs d
LEFT JOIN versions v ON v.design_id = d.id AND v.number = d.version
WHERE d.id = $1 AND d.workspace = $2
FOR NO KEY UPDATE OF d
