UPDATE jobs SET state = 'cancelled', ended_at = $3, expires_at = $4, claim = NULL, leased_until = NULL
WHERE workspace = $1 AND id = $2 AND state IN ('queued', 'running')
RETURNING id, workspace, operation, media, state, progress_done, progress_of, attempts, created_at, started_at, ended_at, expires_at, problem
