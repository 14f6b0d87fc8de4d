SELECT number, hash, created_at, message, author
FROM versions
WHERE design_id = $1 AND number < $2
ORDER BY number DESC
LIMIT $3
