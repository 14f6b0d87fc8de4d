INSERT INTO designs (id, title, title_folded, tags, version, created_at, updated_at, workspace, deleted_at)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)
ON CONFLICT (id) DO NOTHING
