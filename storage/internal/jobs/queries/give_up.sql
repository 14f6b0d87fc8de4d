UPDATE jobs SET state = 'failed', problem = $3, ended_at = $1, expires_at = $4, claim = NULL, leased_until = NULL
WHERE state = 'running' AND leased_until NOT BETWEEN $1 AND $5 AND attempts >= $2
RETURNING id, workspace, operation, media, state, progress_done, progress_of, attempts, created_at, started_at, ended_at, expires_at, problem
