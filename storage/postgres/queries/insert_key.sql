INSERT INTO access_keys (id, workspace, name, scope, origins, hash, created_at, expires_at)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
