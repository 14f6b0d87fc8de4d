SELECT to_regclass($1::text) IS NOT NULL
