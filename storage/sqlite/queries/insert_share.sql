INSERT INTO shares (id, workspace, design_id, version, name, hash, created_at, expires_at)
VALUES (?1, ?2, ?3, nullif(?4, 0), ?5, ?6, ?7, ?8)
