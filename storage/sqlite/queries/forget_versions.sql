DELETE FROM versions WHERE design_id = ?1
