SELECT pg_advisory_xact_lock(hashtext('foldwright growth'), hashtext($1))
