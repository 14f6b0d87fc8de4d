SELECT count(*), coalesce(sum(length(document)), 0) FROM versions WHERE design_id = $1
