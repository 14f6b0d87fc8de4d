DELETE FROM hooks WHERE workspace = $1 AND id = $2
