DELETE FROM idempotency_keys WHERE design_id = $1
