SELECT id, workspace, design_id, coalesce(version, 0), name, created_at, expires_at, revoked_at
FROM shares
WHERE hash = $1
