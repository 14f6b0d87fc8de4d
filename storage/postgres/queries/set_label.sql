INSERT INTO labels (design_id, label, version, created_at)
VALUES ($1, $2, $3, $4)
ON CONFLICT (design_id, label) DO UPDATE SET version = excluded.version, created_at = excluded.created_at
WHERE labels.version <> excluded.version
