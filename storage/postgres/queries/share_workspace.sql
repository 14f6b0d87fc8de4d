SELECT pg_advisory_xact_lock_shared(hashtext('foldwright growth'), hashtext($1))
