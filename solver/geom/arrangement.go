package geom

import "math/bits"

// Arrangement is the plane cut up by the outlines of paths into regions, each of
// which lies in a set of them. It reads paths as the area operations do.
type Arrangement struct {
	noder   *noder
	cut     *arrangement
	origins map[edge][]origin
}

// PathSet is a set of the paths of an arrangement, by their numbers.
type PathSet []uint64

// Has tells whether path i is in the set.
func (s PathSet) Has(i int) bool { return s[i/64]>>(i%64)&1 == 1 }

// CountFrom is how many paths of the set have numbers from first up to, not
// including, end.
func (s PathSet) CountFrom(first, end int) int {
	n := 0
	for w := range s {
		low, high := max(first-64*w, 0), min(end-64*w, 64)
		if low < high {
			n += bits.OnesCount64(s[w] >> low << (64 - high + low))
		}
	}
	return n
}

// Arrange cuts up the plane by the outlines of paths.
func Arrange(paths []Path) (*Arrangement, error) {
	n := newNoder()
	for i, p := range paths {
		if err := n.add(i, p); err != nil {
			return nil, err
		}
	}
	n.node()
	cut := n.arrange(len(paths))
	if err := cut.label(); err != nil {
		return nil, err
	}
	return &Arrangement{noder: n, cut: cut, origins: n.origins()}, nil
}

// Sets visits the set of every region, most of them more than once. The set is
// only good for the call.
func (a *Arrangement) Sets(visit func(PathSet)) {
	for h := range a.cut.known {
		visit(a.cut.leftOf(int32(h)))
	}
}

// Area is the area of all regions whose sets are inside, as the area operations
// give it.
func (a *Arrangement) Area(inside func(PathSet) bool) (Path, error) {
	loops, err := a.cut.outlines(func(set []uint64) bool { return inside(set) })
	if err != nil {
		return nil, err
	}
	return a.noder.rebuild(loops, a.origins), nil
}
