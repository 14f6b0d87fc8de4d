package assemble

import "slices"

// act is what was taken apart at once: it is glued at once.
type act struct {
	joints []int
	shut   bool
}

// takeApart takes joints away, the last first, and gives the order in which they
// are glued, what no order reaches, and what was not come to.
func (b *build) takeApart() (order []act, unreachable, undecided []int) {
	byRank := make([]int, len(b.joints))
	for i := range byRank {
		byRank[b.rank[i]] = i
	}
	for !b.sight.halted() {
		b.rings = b.findRings()
		taken, ok := b.last(byRank)
		if b.sight.over() {
			break
		}
		if ok {
			order = append(order, taken)
		} else if taken, ok = b.givenUp(byRank); ok {
			unreachable = append(unreachable, taken.joints...)
		} else {
			break
		}
		for _, i := range taken.joints {
			b.placed[i] = false
		}
	}
	for i, placed := range b.placed {
		if placed {
			undecided = append(undecided, i)
		}
	}
	slices.Reverse(order)
	slices.Sort(unreachable)
	return order, unreachable, undecided
}

// givenUp is the joint that is done without when none of those left can be glued
// last.
func (b *build) givenUp(byRank []int) (act, bool) {
	for _, i := range slices.Backward(byRank) {
		if b.placed[i] && !b.needed(i) {
			return act{joints: []int{i}}, true
		}
	}
	return act{}, false
}

// last is what can be glued last of all that is left: the one that comes last in
// the order people would choose.
func (b *build) last(byRank []int) (act, bool) {
	for _, i := range slices.Backward(byRank) {
		if !b.placed[i] || b.needed(i) {
			continue
		}
		if taken, ok := b.reachable(i); ok {
			return taken, true
		}
		if b.sight.over() {
			break
		}
	}
	return act{}, false
}

// needed tells whether a joint must come before one that is still glued.
func (b *build) needed(i int) bool {
	for k := range b.joints {
		if b.placed[k] && slices.Contains(b.joints[k].after, i) {
			return true
		}
	}
	return false
}

// reachable tells whether a joint can be glued after all others that are left,
// and with which others at the same time.
func (b *build) reachable(i int) (act, bool) {
	j := &b.joints[i]
	closes := j.folds && !b.rings.bridge[i]
	if closes && j.shuts {
		for _, together := range b.shutTogether(i) {
			if b.openWithout(together) {
				return act{together, true}, true
			}
		}
	}
	if closes {
		// The piece is held where it is and stands in the way itself.
		return act{[]int{i}, false}, b.openTo(i)
	}
	return act{[]int{i}, false}, b.openWithout([]int{i})
}

// shutTogether lists what one shutting may press with a joint, the least first:
// nothing else; its mechanism's joints on the same panel, or on the same part; all
// of its mechanism and of those it stands on.
func (b *build) shutTogether(i int) [4][]int {
	mine := &b.joints[i]
	concerned := map[int]bool{}
	var add func(m int)
	add = func(m int) {
		concerned[m] = true
		for _, host := range b.a.Design.HostsOf(m) {
			if !concerned[host] {
				add(host)
			}
		}
	}
	mechanism := b.p.Joints[i].Mechanism
	add(mechanism)
	list := [4][]int{{i}}
	for k := range b.joints {
		j := &b.joints[k]
		if !b.placed[k] || !j.shuts || b.rings.bridge[k] || !concerned[b.p.Joints[k].Mechanism] || k != i && b.needed(k) {
			continue
		}
		own := b.p.Joints[k].Mechanism == mechanism && j.host == mine.host
		if own && samePanel(j, mine) {
			list[1] = append(list[1], k)
		}
		if own {
			list[2] = append(list[2], k)
		}
		list[3] = append(list[3], k)
	}
	return list
}

func samePanel(a, b *joint) bool {
	return len(a.spots) > 0 && len(b.spots) > 0 && a.spots[0].panel == b.spots[0].panel
}

// openWithout tells whether the places of joints are open once all of them are
// taken away.
func (b *build) openWithout(joints []int) bool {
	for _, i := range joints {
		b.placed[i] = false
	}
	whole := b.rings
	b.rings = b.findRings()
	open := !slices.ContainsFunc(joints, func(i int) bool { return !b.openTo(i) })
	b.rings = whole
	for _, i := range joints {
		b.placed[i] = true
	}
	return open
}

// openTo tells whether the places of a joint are open as things are.
func (b *build) openTo(i int) bool {
	panels := b.fixedWith(b.joints[i].host)
	return !slices.ContainsFunc(b.joints[i].spots, func(s spot) bool { return !b.sight.open(s, panels) })
}
