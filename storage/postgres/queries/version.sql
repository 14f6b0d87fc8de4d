SELECT hash, created_at, message, author, document
FROM versions
WHERE design_id = $1 AND number = $2
