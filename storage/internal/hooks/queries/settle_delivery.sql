UPDATE deliveries SET state = $3, status = $4, error = $5, due_at = $6, expires_at = $7
WHERE hook_id = $1 AND event_id = $2
