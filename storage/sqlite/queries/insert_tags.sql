INSERT OR IGNORE INTO design_tags (tag, created_at, design_id)
SELECT value, ?2, ?1 FROM json_each(?3)
