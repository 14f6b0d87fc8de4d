SELECT hash FROM versions WHERE design_id = $1 AND number = $2
