UPDATE jobs SET state = 'queued', attempts = attempts - 1, claim = NULL, leased_until = NULL
WHERE id = $1 AND claim = $2 AND state = 'running'
