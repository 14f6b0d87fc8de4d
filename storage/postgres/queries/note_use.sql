UPDATE access_keys SET last_used_at = greatest(last_used_at, $2) WHERE id = $1
