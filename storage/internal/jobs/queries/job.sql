SELECT id, workspace, operation, media, state, progress_done, progress_of, attempts, created_at, started_at, ended_at, expires_at, problem
FROM jobs WHERE workspace = $1 AND id = $2
