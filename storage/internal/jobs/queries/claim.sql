-- The driver's words for passing over what another process is claiming replace
-- the last comment.
UPDATE jobs
SET state = 'running', claim = $1, leased_until = $2, attempts = attempts + 1,
    started_at = coalesce(started_at, $3), progress_done = 0, progress_of = 0
WHERE id = (
    SELECT id FROM jobs AS j
    WHERE (state = 'queued' OR state = 'running' AND leased_until NOT BETWEEN $3 AND $5) AND attempts < $4
    ORDER BY (SELECT count(*) FROM jobs AS r WHERE r.workspace = j.workspace AND r.state = 'running' AND r.leased_until >= $3),
             created_at, id
    LIMIT 1
    /* lock */
)
RETURNING id, workspace, operation, media, state, progress_done, progress_of, attempts, created_at, started_at, ended_at, expires_at, problem, request, coalesce(trace, '')
