INSERT INTO idempotency_keys (workspace, key, fingerprint, design_id, version, created_at)
VALUES ($6, $1, $2, $3, $4, $5)
ON CONFLICT (workspace, key) DO NOTHING
