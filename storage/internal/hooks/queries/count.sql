SELECT count(*) FROM hooks WHERE workspace = $1
