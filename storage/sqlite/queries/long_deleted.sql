SELECT workspace, id FROM designs WHERE deleted_at <= ?1 ORDER BY deleted_at, id LIMIT ?2
