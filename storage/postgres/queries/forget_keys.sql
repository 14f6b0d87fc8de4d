DELETE FROM idempotency_keys WHERE (workspace, key) IN (
    SELECT workspace, key FROM idempotency_keys WHERE created_at < $1 ORDER BY created_at LIMIT $2 FOR UPDATE SKIP LOCKED
)
