-- The order of the query replaces the comments.
SELECT d.id, d.title, d.tags, d.version, d.created_at, d.updated_at, d.deleted_at
FROM design_tags AS t CROSS JOIN designs AS d ON d.id = t.design_id -- in this order
WHERE t.workspace = ?6
  AND (d.deleted_at IS NOT NULL) = ?1
  AND (/* key */, t.design_id) /* after */ (?2, ?3)
  AND NOT EXISTS (SELECT 1 FROM json_each(?4) WHERE instr(d.title_folded, value) = 0)
  AND d.updated_at >= ?7
  AND (?8 = '' OR EXISTS (SELECT 1 FROM labels AS l WHERE l.design_id = d.id AND l.label = ?8))
  AND t.tag = ?9 -- the first; the others are looked for in each design that has it
  AND NOT EXISTS (SELECT 1 FROM json_each(?10) AS w WHERE w.value NOT IN (SELECT value FROM json_each(d.tags)))
ORDER BY /* key */ /* way */, t.design_id /* way */
LIMIT ?5
