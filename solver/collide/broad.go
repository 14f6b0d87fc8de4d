package collide

import (
	"math"

	"foldwright/solver/geom"
)

// broad finds the pairs of bodies whose boxes meet, by sweeping along the gutter
// over boxes sorted by where they begin. From one time to the next the order
// changes little, so it is kept.
type broad struct {
	low, high []geom.Vec3 // by body
	order     []int
	found     []pair
}

// pair is two bodies, the lower number first.
type pair struct{ i, j int }

func newBroad(bodies int) broad {
	b := broad{low: make([]geom.Vec3, bodies), high: make([]geom.Vec3, bodies), order: make([]int, bodies)}
	for i := range b.order {
		b.order[i] = i
	}
	return b
}

// leave takes a body out of what is looked at.
func (b *broad) leave(i int) {
	inf := math.Inf(1)
	b.low[i], b.high[i] = geom.Vec3{X: inf, Y: inf, Z: inf}, geom.Vec3{X: -inf, Y: -inf, Z: -inf}
}

// fill lets a body be anywhere.
func (b *broad) fill(i int) {
	inf := math.Inf(1)
	b.low[i], b.high[i] = geom.Vec3{X: -inf, Y: -inf, Z: -inf}, geom.Vec3{X: inf, Y: inf, Z: inf}
}

// grow lets the box of a body reach to a point and some way beyond.
func (b *broad) grow(i int, p geom.Vec3, by float64) {
	d := geom.Vec3{X: by, Y: by, Z: by}
	b.low[i], b.high[i] = lowest(b.low[i], p.Sub(d)), highest(b.high[i], p.Add(d))
}

func (b *broad) after(i, j int) bool {
	return b.low[i].Y > b.low[j].Y || b.low[i].Y == b.low[j].Y && i > j
}

// meet finds the pairs that are not known, along the gutter.
func (b *broad) meet(known *pairs) []pair {
	b.found = b.found[:0]
	for at := 1; at < len(b.order); at++ {
		i := b.order[at]
		k := at
		for ; k > 0 && b.after(b.order[k-1], i); k-- {
			b.order[k] = b.order[k-1]
		}
		b.order[k] = i
	}
	for at, i := range b.order {
		low, high := b.low[i], b.high[i]
		for _, j := range b.order[at+1:] {
			if b.low[j].Y > high.Y {
				break
			}
			if b.low[j].X > high.X || b.high[j].X < low.X || b.low[j].Z > high.Z || b.high[j].Z < low.Z {
				continue
			}
			if !known.has(i, j) {
				b.found = append(b.found, pair{min(i, j), max(i, j)})
			}
		}
	}
	return b.found
}
