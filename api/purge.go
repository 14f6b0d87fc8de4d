package api

import (
	"context"
	"time"
)

const (
	// purgePace is how often each process looks for what can be forgotten. A
	// design may stay a little longer than it must.
	purgePace = 10 * time.Minute
	// purgeBatch is how much is forgotten before others get a word in.
	purgeBatch = 100
)

// purge forgets what the store need not keep any longer, now and then, until
// the context is done. Any number of processes may do so at once.
func (s *Server) purge(ctx context.Context) {
	tick := time.NewTicker(purgePace)
	defer tick.Stop()
	for {
		s.purgeAll(ctx)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

func (s *Server) purgeAll(ctx context.Context) {
	for all := 0; ctx.Err() == nil; {
		n, err := s.database.Purge(ctx, purgeBatch)
		all += n
		if err != nil && ctx.Err() == nil {
			s.log.Warn("forgetting what is no longer kept", "error", err)
		}
		if err != nil || n == 0 {
			if all > 0 {
				s.log.Info("forgot what is no longer kept", "deleted designs and idempotency keys", all)
			}
			return
		}
	}
}
