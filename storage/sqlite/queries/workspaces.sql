SELECT name FROM workspaces UNION SELECT workspace FROM growth ORDER BY name
