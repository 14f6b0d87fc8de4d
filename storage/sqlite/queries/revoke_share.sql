UPDATE shares SET revoked_at = coalesce(revoked_at, ?4)
WHERE id = ?1 AND design_id = ?2 AND workspace = ?3
