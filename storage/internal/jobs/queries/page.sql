SELECT id, workspace, operation, media, state, progress_done, progress_of, attempts, created_at, started_at, ended_at, expires_at, problem
FROM jobs
WHERE workspace = $1 AND (created_at, id) < ($2, $3)
ORDER BY created_at DESC, id DESC
LIMIT $4
