SELECT name FROM (SELECT name FROM workspaces UNION SELECT workspace FROM growth) used ORDER BY name
