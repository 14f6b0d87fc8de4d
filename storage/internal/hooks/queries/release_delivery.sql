UPDATE deliveries SET attempts = attempts - 1 WHERE hook_id = $1 AND event_id = $2 AND attempts > 0
