package layout

import "math"

const (
	// patience is how many passes without a lower overlap are made before the
	// best layout is taken up again, and strikes how often that is done.
	patience = 150
	strikes  = 3
)

// separate brings the parts apart by guided local search: passes over the
// parts that overlap, each moved to the place where it is least in the way,
// with weights that grow on the pairs that stay in conflict. It tells whether
// the parts came free. If not, the bed is left with the least overlap found.
func (b *bed) separate(strikes, patience int, everywhere bool) bool {
	b.resetWeights()
	b.run.pass()
	if b.relax() {
		return true
	}
	best := math.Inf(1)
	tried := math.Inf(1) // overlap from which relax was last tried
	var bestSpots, spots []spot
	n := len(b.parts)
	conflict := make([]bool, n)
	var order []int
	for strike := range strikes {
		start := best
		for stale := 0; stale < patience; stale++ {
			if b.run.done() {
				break
			}
			clear(conflict)
			sum, largest := b.overlaps(func(i, j int, d float64) {
				conflict[i], conflict[j] = true, true
			})
			if largest <= accepted {
				return true
			}
			if sum < best {
				if sum < 0.98*best {
					stale = 0
				}
				best = sum
				bestSpots = b.save(bestSpots)
				if sum < 0.9*tried {
					// Perhaps all together come free from here.
					tried = sum
					spots = b.save(spots)
					if b.relax() {
						return true
					}
					b.restore(spots)
				}
			}
			b.grow(largest)
			order = order[:0]
			for i, c := range conflict {
				if c && !b.parts[i].fixed {
					order = append(order, i)
				}
			}
			b.rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
			b.run.pass()
			for _, i := range order {
				p := &b.parts[i]
				// It may have come free through the others.
				if b.cost(i, p.shape(), p.x, p.y, math.Inf(1)) == 0 {
					continue
				}
				b.relocate(i, everywhere)
				if b.run.done() {
					break
				}
			}
		}
		if b.run.done() {
			break
		}
		b.restore(bestSpots)
		if best > 0.98*start && strike > 0 {
			break
		}
	}
	if bestSpots != nil {
		b.restore(bestSpots)
	}
	return false
}

// grow raises the weights of the pairs in conflict and lets the others fade.
func (b *bed) grow(largest float64) {
	n := len(b.parts)
	const fade = 0.95
	for i, w := range b.weight {
		if w > 1 {
			b.weight[i] = max(1, w*fade)
		}
	}
	b.overlaps(func(i, j int, d float64) {
		w := b.weight[i*n+j] / fade * (1.2 + 0.6*d/largest)
		b.weight[i*n+j], b.weight[j*n+i] = w, w
	})
}
