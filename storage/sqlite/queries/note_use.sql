UPDATE access_keys SET last_used_at = max(coalesce(last_used_at, ?2), ?2) WHERE id = ?1
