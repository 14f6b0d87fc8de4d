package assemble

// rings tells which parts are fixed on two sides by the joints that are glued:
// parts in one block stay where they are relative to each other, and what hangs
// by a bridge turns about it.
type rings struct {
	block  []int // by part: the number of its block
	size   []int // by block: how many joints it has inside
	bridge []bool
}

// findRings finds the blocks of the graph whose nodes are the parts, those that
// are rigid together taken as one, and whose edges are the joints along folds:
// its two-edge-connected components, by depth-first numbering (Tarjan, 1974,
// from memory).
func (b *build) findRings() rings {
	n := len(b.rigid)
	type half struct{ to, joint int }
	edges := make([][]half, n)
	for i := range b.joints {
		if j := &b.joints[i]; b.placed[i] && j.folds {
			part, host := b.rigid[j.part], b.rigid[j.host]
			edges[part] = append(edges[part], half{host, i})
			edges[host] = append(edges[host], half{part, i})
		}
	}
	r := rings{block: make([]int, n), bridge: make([]bool, len(b.joints))}
	number, low := make([]int, n), make([]int, n)
	count := 0
	var stack []int
	var visit func(at, from int)
	visit = func(at, from int) {
		count++
		number[at], low[at] = count, count
		stack = append(stack, at)
		for _, e := range edges[at] {
			switch {
			case e.joint == from:
			case number[e.to] == 0:
				visit(e.to, e.joint)
				low[at] = min(low[at], low[e.to])
				if low[e.to] > number[at] {
					r.bridge[e.joint] = true
				}
			default:
				low[at] = min(low[at], number[e.to])
			}
		}
		if low[at] == number[at] {
			for done := false; !done; stack = stack[:len(stack)-1] {
				top := stack[len(stack)-1]
				r.block[top], done = len(r.size), top == at
			}
			r.size = append(r.size, 0)
		}
	}
	for i := range n {
		if number[i] == 0 && b.rigid[i] == i {
			visit(i, -1)
		}
	}
	for i := range n {
		r.block[i] = r.block[b.rigid[i]]
	}
	for i := range b.joints {
		if j := &b.joints[i]; b.placed[i] && j.folds && !r.bridge[i] {
			r.size[r.block[j.part]]++
		}
	}
	return r
}

// fixedWith are the panels that stay where they are relative to a part; none when
// it is in no ring. A part is there once a joint holds it.
func (b *build) fixedWith(part int) []int {
	block := b.rings.block[part]
	if b.rings.size[block] == 0 {
		return nil
	}
	held := make([]bool, len(b.p.Parts))
	for i := range b.joints {
		if b.placed[i] {
			held[b.joints[i].part], held[b.joints[i].host] = true, true
		}
	}
	var list []int
	for panel, of := range b.partOf {
		if of >= 0 && held[of] && b.rings.block[of] == block {
			list = append(list, panel)
		}
	}
	return list
}
