SELECT operation, state, count(*) FROM jobs WHERE state IN ('queued', 'running') GROUP BY operation, state ORDER BY operation, state
