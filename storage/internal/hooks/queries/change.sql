UPDATE hooks SET url = $3, events = $4 WHERE workspace = $1 AND id = $2
