DELETE FROM jobs WHERE expires_at <= $1
