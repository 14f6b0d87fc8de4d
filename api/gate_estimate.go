package api

import "time"

const (
	// learning is the part of the usual time of work that the last one makes.
	learning = 1.0 / 8
	// longestHint is about as long as anything is known ahead.
	longestHint = 2 * time.Minute
)

// learn takes the time that a request has worked into the usual one.
func (g *gate) learn(worked time.Duration) {
	if g.usual == 0 {
		g.usual = worked
	}
	g.usual += time.Duration(learning * float64(worked-g.usual))
}

// left is how long a request goes on to work: what is left of the usual time, or
// as long as it has so far, within the limit.
func (g *gate) left(worked time.Duration) time.Duration {
	return max(0, g.usual-worked, min(worked, g.limit-worked))
}

// estimate is how long a client that came now would wait: for the first place it
// may have, and for those that have their turn before.
func (g *gate) estimate(client string) time.Duration {
	full := g.held[client] >= g.share // only its own places are for it
	var (
		places int
		first  = longestHint
		sum    time.Duration
	)
	for p := range g.working {
		if full && p.client != client {
			continue
		}
		worked := time.Since(p.since)
		left := g.left(worked)
		places++
		first = min(first, left)
		sum += worked + left
	}
	if places == 0 {
		return 0
	}
	each := sum / time.Duration(places)
	return min(longestHint, first+each*time.Duration(g.ahead(client, full))/time.Duration(places))
}

// ahead is how many requests in the queues have their turn before one that the
// client would send now: its own, and those of others until they have as many
// at work.
func (g *gate) ahead(client string, full bool) int {
	own := len(g.queues[client])
	if full {
		return own
	}
	n := own
	for other, queue := range g.queues {
		if other != client {
			n += min(len(queue), max(0, g.held[client]+own+1-g.held[other]))
		}
	}
	return n
}
