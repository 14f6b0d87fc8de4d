SELECT id, workspace, url, events, created_at, failures, failing_since, off_at, off_why
FROM hooks WHERE workspace = $1 AND id = $2
