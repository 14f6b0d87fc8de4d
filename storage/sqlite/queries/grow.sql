INSERT INTO workspaces (name, designs, versions, bytes)
VALUES (?1, ?2, ?3, ?4)
ON CONFLICT (name) DO UPDATE
SET designs = designs + excluded.designs, versions = versions + excluded.versions, bytes = bytes + excluded.bytes
RETURNING designs, versions, bytes, hooks
