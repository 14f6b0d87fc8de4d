SELECT d.id, d.title, d.tags, d.version, d.created_at, d.updated_at, d.deleted_at
FROM design_tags AS t CROSS JOIN designs AS d ON d.id = t.design_id -- in this order
WHERE t.workspace = ?6
  AND (d.deleted_at IS NOT NULL) = ?1
  AND (t.created_at, t.design_id) < (?2, ?3)
  AND instr(d.title_folded, ?4) > 0
  AND t.tag = ?7
ORDER BY t.created_at DESC, t.design_id DESC
LIMIT ?5
