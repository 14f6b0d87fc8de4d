SELECT id, workspace, design_id, coalesce(version, 0), name, created_at, expires_at, revoked_at
FROM shares
WHERE design_id = ?1
ORDER BY created_at, id
