UPDATE jobs SET state = 'cancelled', ended_at = $3, expires_at = $4, claim = NULL, leased_until = NULL
WHERE workspace = $1 AND id = $2 AND state IN ('queued', 'running')
