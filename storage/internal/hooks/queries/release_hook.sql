UPDATE hooks SET claim = NULL, leased_until = NULL WHERE id = $1 AND claim = $2
