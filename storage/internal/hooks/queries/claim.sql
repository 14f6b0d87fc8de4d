-- The driver's words for passing over what another process is claiming replace
-- the last comment.
UPDATE hooks SET claim = $1, leased_until = $2, served_at = $3
WHERE id = (
    SELECT id FROM hooks AS h
    WHERE off_at IS NULL AND paused_until <= $3 AND (leased_until IS NULL OR leased_until NOT BETWEEN $3 AND $4)
      AND EXISTS (SELECT 1 FROM deliveries AS d WHERE d.hook_id = h.id AND d.state = 'pending' AND d.due_at <= $3)
    ORDER BY served_at, id
    LIMIT 1
    /* lock */
)
RETURNING id, workspace, url, events, created_at, failures, failing_since, off_at, off_why, secret
