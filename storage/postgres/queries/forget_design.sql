DELETE FROM designs WHERE id = $1
