SELECT designs, versions, bytes FROM workspaces WHERE name = $1
