SELECT EXISTS (
    SELECT 1 FROM jobs
    WHERE (state = 'queued' OR state = 'running' AND leased_until NOT BETWEEN $1 AND $3) AND attempts < $2
)
