INSERT INTO jobs (id, workspace, operation, media, request, state, progress_done, progress_of, attempts, created_at, idempotency_key, fingerprint, trace)
VALUES ($1, $2, $3, $4, $5, 'queued', 0, 0, 0, $6, $7, $8, $9)
ON CONFLICT (workspace, idempotency_key) DO NOTHING
