SELECT EXISTS (
    SELECT 1 FROM jobs
    WHERE (state = 'queued' OR state = 'running' AND leased_until < $1) AND attempts < $2
)
