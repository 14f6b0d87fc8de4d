package collide

import "math"

// smallest is the opening at which the pages, at their fore edges, are no further
// apart than a sheet is thick. What moves in between has no room to pass through
// anything; whether its layers are in order is for the shut stack to tell.
func (b *Bodies) smallest() float64 {
	s := &b.a.Design.Spread
	return 2 * math.Asin(min(b.a.Design.Paper.Caliper/(2*s.PageWidth), 0.5))
}

const (
	// growth is how much wider each interval is than the one nearer to shut: as
	// all distances are in proportion to the opening there, so may the motion
	// be. The same holds for what is flush when the spread is flat.
	growth = 1.5
	// endParts is into how many parts what is left of the range is divided at
	// least.
	endParts = 64
	// handSteps is how many intervals the range of a hand driver is begun with.
	handSteps = 16
)

// openingIntervals divides the opening, fine towards its ends.
func openingIntervals(smallest, opensTo float64) []float64 {
	var out []float64
	for t := smallest; t < opensTo/2; t *= growth {
		out = append(out, t)
	}
	n := len(out)
	for k := range out {
		if t := opensTo - out[n-1-k]; t > out[len(out)-1] {
			out = append(out, t)
		}
	}
	return append(out, opensTo)
}

func handIntervals(from, to float64) []float64 {
	out := make([]float64, handSteps+1)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/handSteps
	}
	return out
}

// least is how wide an interval must be to be divided: the resolution, but less
// towards the ends of the range, where what touches at the very end comes closer in
// proportion to what is left.
func (s *sweeper) least(from, to float64) float64 {
	begin := s.first
	if s.driver == None {
		begin = 0
	}
	if from == begin || to == s.last {
		return s.resolution
	}
	return min(s.resolution, min(from-begin, s.last-to)/endParts)
}
