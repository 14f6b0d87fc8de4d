SELECT name FROM workspaces ORDER BY name
