-- Not a join, for which a server that does not know yet how many versions there
-- are may read them all.
SELECT d.id, d.title, d.tags, d.version, d.created_at, d.updated_at, d.deleted_at,
    (SELECT v.hash FROM versions v WHERE v.design_id = d.id AND v.number = d.version)
FROM designs d
WHERE d.id = $1 AND d.workspace = $2
FOR NO KEY UPDATE
