SELECT EXISTS (
    SELECT 1 FROM hooks AS h
    WHERE off_at IS NULL AND paused_until <= $1 AND (leased_until IS NULL OR leased_until NOT BETWEEN $1 AND $2)
      AND EXISTS (SELECT 1 FROM deliveries AS d WHERE d.hook_id = h.id AND d.state = 'pending' AND d.due_at <= $1)
)
