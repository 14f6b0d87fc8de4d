UPDATE workspaces SET hooks = (SELECT count(*) FROM hooks WHERE workspace = $1 AND off_at IS NULL) WHERE name = $1
