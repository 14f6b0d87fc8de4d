INSERT OR IGNORE INTO design_tags (tag, design_id)
SELECT value, ?1 FROM json_each(?2)
