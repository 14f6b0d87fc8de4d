INSERT INTO workspaces (name, designs, versions, bytes) VALUES ($1, 0, 0, 0)
ON CONFLICT (name) DO UPDATE SET name = excluded.name
