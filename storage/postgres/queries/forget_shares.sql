DELETE FROM shares WHERE design_id = $1
