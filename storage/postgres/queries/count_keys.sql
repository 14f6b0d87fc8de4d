SELECT count(*) FROM access_keys WHERE workspace = $1
