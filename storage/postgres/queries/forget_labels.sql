DELETE FROM labels WHERE design_id = $1
