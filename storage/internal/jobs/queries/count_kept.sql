SELECT count(*) FROM jobs WHERE workspace = $1
