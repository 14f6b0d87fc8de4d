SELECT id, workspace, name, scope, origins, created_at, expires_at, last_used_at, revoked_at
FROM access_keys
WHERE hash = ?1
