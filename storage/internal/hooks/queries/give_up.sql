UPDATE deliveries SET state = 'failed', due_at = NULL, expires_at = $3
WHERE state = 'pending' AND due_at <= $1 AND created_at < $2 AND (last_at IS NULL OR last_at < $2)
