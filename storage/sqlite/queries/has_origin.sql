SELECT EXISTS (
    SELECT 1 FROM access_keys
    WHERE scope = 'browser' AND revoked_at IS NULL AND (expires_at IS NULL OR expires_at > ?1)
      AND EXISTS (SELECT 1 FROM json_each(origins) WHERE value = ?2)
)
