INSERT INTO deliveries (hook_id, event_id, type, about, created_at, state, attempts, status, error, due_at)
VALUES ($1, $2, $3, $4, $5, 'pending', 0, 0, '', $5)
