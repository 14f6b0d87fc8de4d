UPDATE jobs SET leased_until = $3, progress_done = $4, progress_of = $5
WHERE id = $1 AND claim = $2 AND state = 'running'
