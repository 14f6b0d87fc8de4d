UPDATE access_keys SET revoked_at = coalesce(revoked_at, ?3) WHERE id = ?1 AND workspace = ?2
