UPDATE deliveries SET due_at = $2 WHERE hook_id = $1 AND state = 'pending' AND due_at > $2
