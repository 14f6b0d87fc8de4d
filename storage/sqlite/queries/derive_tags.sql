INSERT OR IGNORE INTO design_tags (workspace, tag, created_at, design_id)
SELECT d.workspace, t.value, d.created_at, d.id FROM designs AS d, json_each(d.tags) AS t
