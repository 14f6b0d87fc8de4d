INSERT INTO idempotency_keys (key, fingerprint, design_id, version, created_at)
VALUES ($1, $2, $3, $4, $5)
ON CONFLICT (key) DO NOTHING
