UPDATE hooks SET paused_until = 0 WHERE id = $1
