INSERT INTO versions (design_id, number, hash, created_at, message, author, document)
VALUES ($1, $2, $3, $4, $5, $6, $7)
