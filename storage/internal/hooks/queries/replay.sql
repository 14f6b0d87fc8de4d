UPDATE deliveries SET state = 'pending', attempts = 0, due_at = $3, expires_at = NULL
WHERE hook_id = $1 AND event_id = $2
