DELETE FROM deliveries WHERE expires_at <= $1
