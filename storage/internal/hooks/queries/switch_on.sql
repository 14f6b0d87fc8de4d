UPDATE hooks SET off_at = NULL, off_why = '', failures = 0, failing_since = NULL, paused_until = 0
WHERE workspace = $1 AND id = $2 AND off_at IS NOT NULL
