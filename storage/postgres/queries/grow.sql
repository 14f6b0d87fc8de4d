INSERT INTO workspaces (name, designs, versions, bytes)
VALUES ($1, $2, $3, $4)
ON CONFLICT (name) DO UPDATE
SET designs = workspaces.designs + excluded.designs, versions = workspaces.versions + excluded.versions, bytes = workspaces.bytes + excluded.bytes
RETURNING designs, versions, bytes, hooks
