SELECT count(*), min(CASE WHEN due_at <= $1 THEN due_at END)
FROM deliveries JOIN hooks ON hooks.id = hook_id
WHERE state = 'pending' AND off_at IS NULL
