UPDATE jobs SET state = $3, result = $4, problem = $5, ended_at = $6, expires_at = $7, progress_done = $8, progress_of = $9,
    claim = NULL, leased_until = NULL
WHERE id = $1 AND claim = $2 AND state = 'running'
