package assemble

import (
	"cmp"
	"slices"

	"foldwright/solver/kinematics"
)

// preferred ranks the joints in the order people would choose: mechanisms as
// designed, what stands on a mechanism's own panels and ridge on the bench before
// it goes on its host, what stands on its base lines afterwards; in a mechanism
// first what it moves or holds within itself, then the base lines.
func (b *build) preferred() []int {
	place := make([]int, len(b.a.Design.Mechanisms))
	for k, m := range b.mechanismOrder() {
		place[m] = k
	}
	order := make([]int, len(b.joints))
	for i := range order {
		order[i] = i
	}
	early := func(i int) int {
		if b.mechanismOf(b.joints[i].host) == b.p.Joints[i].Mechanism && b.p.Joints[i].ID != b.a.Design.Mechanisms[b.p.Joints[i].Mechanism].ID+".joint_hub" {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(order, func(i, k int) int {
		return cmp.Or(cmp.Compare(place[b.p.Joints[i].Mechanism], place[b.p.Joints[k].Mechanism]), cmp.Compare(early(i), early(k)))
	})
	rank := make([]int, len(order))
	for k, i := range order {
		rank[i] = k
	}
	return rank
}

func (b *build) mechanismOrder() []int {
	d := b.a.Design
	var order []int
	done := make([]bool, len(d.Mechanisms))
	var emit func(m int)
	emit = func(m int) {
		if done[m] {
			return
		}
		done[m] = true
		for c := range d.Mechanisms {
			if hosts := d.HostsOf(c); len(hosts) == 1 && hosts[0] == m && b.ownPanels(c) {
				emit(c)
			}
		}
		order = append(order, m)
		for c := range d.Mechanisms {
			if hosts := d.HostsOf(c); slices.Contains(hosts, m) && !slices.ContainsFunc(hosts, func(h int) bool { return !done[h] }) {
				emit(c)
			}
		}
	}
	for m := range d.Mechanisms {
		if len(d.HostsOf(m)) == 0 {
			emit(m)
		}
	}
	return order
}

// ownPanels tells whether a mechanism stands only on panels of the one it is on,
// not also on what that is glued to.
func (b *build) ownPanels(c int) bool {
	on := b.a.Design.Mechanisms[c].On
	if on.Fold == "" {
		return true
	}
	fold := b.a.FoldIndex(on.Fold)
	return fold >= 0 && b.a.Folds[fold].Role != kinematics.BaseFold
}
