UPDATE deliveries SET attempts = attempts + 1, last_at = $2
WHERE hook_id = $1 AND event_id = (
    SELECT event_id FROM deliveries
    WHERE hook_id = $1 AND state = 'pending' AND due_at <= $2
    ORDER BY due_at, event_id
    LIMIT 1
)
RETURNING hook_id, event_id, type, about, created_at, state, attempts, last_at, status, error, due_at, expires_at
