DELETE FROM design_tags WHERE design_id = ?1
