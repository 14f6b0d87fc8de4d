UPDATE hooks SET off_at = $3, off_why = $4 WHERE workspace = $1 AND id = $2 AND off_at IS NULL
