SELECT fingerprint, design_id, version, created_at
FROM idempotency_keys
WHERE key = ?1 AND workspace = ?2
