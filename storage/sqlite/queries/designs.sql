-- The order of the query replaces the comments.
SELECT id, title, tags, version, created_at, updated_at, deleted_at
FROM designs
WHERE workspace = ?6
  AND (deleted_at IS NOT NULL) = ?1
  AND (/* key */, id) /* after */ (?2, ?3)
  AND /* key */ /* after */= ?2 -- which follows, and leads into an index over a function
  AND NOT EXISTS (SELECT 1 FROM json_each(?4) WHERE instr(designs.title_folded, value) = 0)
  AND designs.updated_at >= ?7
  AND (?8 = '' OR EXISTS (SELECT 1 FROM labels AS l WHERE l.design_id = designs.id AND l.label = ?8))
ORDER BY /* key */ /* way */, id /* way */
LIMIT ?5
