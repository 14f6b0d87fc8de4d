INSERT INTO deliveries (hook_id, event_id, type, about, created_at, state, attempts, status, error, due_at)
SELECT id, CAST($2 AS text), CAST($3 AS text), CAST($4 AS text), CAST($5 AS bigint), 'pending', 0, 0, '', CAST($5 AS bigint)
FROM hooks
WHERE workspace = $1 AND off_at IS NULL AND events LIKE '% ' || CAST($3 AS text) || ' %'
