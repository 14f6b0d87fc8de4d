UPDATE hooks SET claim = NULL, leased_until = NULL, failures = $3, failing_since = $4, paused_until = $5
WHERE id = $1 AND claim = $2
