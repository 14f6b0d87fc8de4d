package view

// node is a plane of a binary space partition with the fragments that lie in
// it, bottom layer first as its normal points up, and the two half spaces.
type node struct {
	plane       plane
	on          []*fragment
	front, back *node
}

// parting is one split, kept so that it can be undone.
type parting struct {
	whole, front, back *fragment
}

// partition builds the tree. It is the classic one of Fuchs, Kedem and Naylor
// (On visible surface generation by a priori tree structures, 1980).
type partition struct {
	*scene
	partings  []parting
	fragments int
}

const (
	// maxCandidates bounds the planes tried at a node; past a dozen the next
	// one is rarely better.
	maxCandidates = 12
	// splitCost is how many fragments of imbalance one split is worth.
	splitCost = 8
)

func (t *partition) build(list []*fragment) *node {
	if len(list) == 0 || t.watch.halted() {
		return nil
	}
	n := &node{plane: t.choose(list).face.plane()}
	var front, back []*fragment
	for _, g := range list {
		switch g.against(n.plane, t.tolerance) {
		case within:
			n.on = append(n.on, g)
		case before:
			front = append(front, g)
		case behind:
			back = append(back, g)
		default:
			f, b := g.split(n.plane, t.tolerance)
			if t.fragments++; t.fragments > maxFragments {
				t.watch.err = ErrTangled
				return nil
			}
			t.partings = append(t.partings, parting{g, f, b})
			front, back = append(front, f), append(back, b)
		}
	}
	n.on = t.layered(n.on, n.plane.n)
	n.front, n.back = t.build(front), t.build(back)
	return n
}

// choose picks the fragment whose plane divides the list. Pages come first:
// everything stands on them, so their planes split little and they are never
// split themselves.
func (t *partition) choose(list []*fragment) *fragment {
	if t.isPage(list[0].face) || len(list) == 1 {
		return list[0]
	}
	var best *fragment
	least := 0
	step := (len(list) + maxCandidates - 1) / maxCandidates
	for i := 0; i < len(list); i += step {
		p := list[i].face.plane()
		splits, fronts, backs := 0, 0, 0
		for _, g := range list {
			switch g.against(p, t.tolerance) {
			case before:
				fronts++
			case behind:
				backs++
			case astride:
				splits++
			}
		}
		cost := splitCost*splits + max(fronts-backs, backs-fronts)
		if best == nil || cost < least {
			best, least = list[i], cost
		}
	}
	return best
}

// backToFront appends the fragments in the order they must be painted.
func (n *node) backToFront(e *eye, dst []*fragment) []*fragment {
	if n == nil {
		return dst
	}
	far, near, up := n.back, n.front, true
	if e.side(n.plane.n.Mul(n.plane.c), n.plane.n) < 0 {
		far, near, up = n.front, n.back, false
	}
	dst = far.backToFront(e, dst)
	for i := range n.on {
		if up {
			dst = append(dst, n.on[i])
		} else {
			dst = append(dst, n.on[len(n.on)-1-i])
		}
	}
	return near.backToFront(e, dst)
}

// paintOrder is what the eye sees of the scene, back to front; nothing that
// counts when the watch has halted it.
func (s *scene) paintOrder() []*fragment {
	t := &partition{scene: s, fragments: len(s.faces)}
	list := make([]*fragment, len(s.faces))
	for i := range s.faces {
		list[i] = s.faces[i].whole
	}
	root := t.build(list)
	if s.watch.halted() {
		return nil
	}
	order := root.backToFront(&s.eye, make([]*fragment, 0, len(list)+len(t.partings)))
	return s.rejoin(order, t.partings)
}
