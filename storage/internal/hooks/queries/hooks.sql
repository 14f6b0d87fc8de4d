SELECT id, workspace, url, events, created_at, failures, failing_since, off_at, off_why
FROM hooks WHERE workspace = $1 ORDER BY created_at, id
