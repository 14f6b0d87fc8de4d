INSERT INTO hooks (id, workspace, url, events, secret, created_at, off_why, failures, served_at, paused_until)
VALUES ($1, $2, $3, $4, $5, $6, '', 0, 0, 0)
