INSERT OR IGNORE INTO design_tags (workspace, tag, created_at, design_id)
SELECT ?4, value, ?2, ?1 FROM json_each(?3)
