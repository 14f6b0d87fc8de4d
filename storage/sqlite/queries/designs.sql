SELECT id, title, tags, version, created_at, updated_at, deleted_at
FROM designs
WHERE workspace = ?6
  AND (deleted_at IS NOT NULL) = ?1
  AND (created_at, id) < (?2, ?3)
  AND instr(title_folded, ?4) > 0
ORDER BY created_at DESC, id DESC
LIMIT ?5
