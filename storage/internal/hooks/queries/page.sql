SELECT hook_id, event_id, type, about, created_at, state, attempts, last_at, status, error, due_at, expires_at
FROM deliveries
WHERE hook_id = $1 AND (created_at, event_id) < ($2, $3)
ORDER BY created_at DESC, event_id DESC
LIMIT $4
