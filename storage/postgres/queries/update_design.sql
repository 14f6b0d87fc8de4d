UPDATE designs
SET title = $2, title_folded = $3, tags = $4, version = $5, updated_at = $6
WHERE id = $1
