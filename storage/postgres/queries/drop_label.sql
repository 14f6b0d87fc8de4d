DELETE FROM labels WHERE design_id = $1 AND label = $2 AND version = $3
