package stack

import "slices"

// puzzle is a set of choices, each between two values, and what may not go
// together.
type puzzle struct {
	prefer  []bool // by choice: the value tried first
	clauses []clause
	names   []int // by choice: its number in the puzzle this is a part of

	of     [][]int // clauses by choice
	values []int8  // -1 undecided, 0 false, 1 true
	trail  []int
	budget int
}

// clause allows some of the ways in which a few choices can be made: bit m of
// allowed is set when the choices may have the values of the bits of m, the
// first choice in the lowest bit.
type clause struct {
	choices []int
	allowed uint16
}

// outcome is how a search ended.
type outcome uint8

const (
	solved    outcome = iota // visit was content
	exhausted                // all ways were tried
	gaveUp                   // the budget was spent
)

// solve looks for ways to make all choices and shows each to visit until that is
// content. The budget is in clauses looked at.
func (p *puzzle) solve(budget int, visit func(values []bool) bool) outcome {
	p.budget = budget
	p.of = make([][]int, len(p.prefer))
	for c := range p.clauses {
		for _, v := range p.clauses[c].choices {
			p.of[v] = append(p.of[v], c)
		}
	}
	p.values = make([]int8, len(p.prefer))
	for i := range p.values {
		p.values[i] = -1
	}
	p.trail = p.trail[:0]
	for c := range p.clauses {
		if !p.narrow(c) {
			return p.failed()
		}
	}
	if !p.propagate(0) {
		return p.failed()
	}
	return p.search(0, visit)
}

// failed is the outcome where no way is left, or no budget to know it.
func (p *puzzle) failed() outcome {
	if p.budget <= 0 {
		return gaveUp
	}
	return exhausted
}

// search makes the choices from the first undecided on.
func (p *puzzle) search(from int, visit func([]bool) bool) outcome {
	for from < len(p.values) && p.values[from] >= 0 {
		from++
	}
	if from == len(p.values) {
		values := make([]bool, len(p.values))
		for i, v := range p.values {
			values[i] = v == 1
		}
		if visit(values) {
			return solved
		}
		return exhausted
	}
	first := int8(0)
	if p.prefer[from] {
		first = 1
	}
	for _, value := range [2]int8{first, 1 - first} {
		mark := len(p.trail)
		p.set(from, value)
		if p.propagate(mark) {
			if end := p.search(from+1, visit); end != exhausted {
				return end
			}
		}
		if p.budget <= 0 {
			return gaveUp
		}
		for _, v := range p.trail[mark:] {
			p.values[v] = -1
		}
		p.trail = p.trail[:mark]
	}
	return exhausted
}

func (p *puzzle) set(choice int, value int8) {
	p.values[choice] = value
	p.trail = append(p.trail, choice)
}

// propagate draws the consequences of the choices on the trail from a mark on;
// false when they contradict each other or the budget is spent.
func (p *puzzle) propagate(mark int) bool {
	for ; mark < len(p.trail); mark++ {
		for _, c := range p.of[p.trail[mark]] {
			if !p.narrow(c) {
				return false
			}
		}
	}
	return true
}

// narrow makes the choices a clause leaves no freedom for.
func (p *puzzle) narrow(c int) bool {
	if p.budget--; p.budget <= 0 {
		return false
	}
	clause := &p.clauses[c]
	var fixed, known uint
	for k, v := range clause.choices {
		if p.values[v] >= 0 {
			known |= 1 << k
			fixed |= uint(p.values[v]) << k
		}
	}
	can := [2]uint{} // bits of the choices that can be false, and true
	for m := range uint(1) << len(clause.choices) {
		if clause.allowed>>m&1 == 1 && m&known == fixed {
			can[0], can[1] = can[0]|^m, can[1]|m
		}
	}
	for k, v := range clause.choices {
		isFalse, isTrue := can[0]>>k&1 == 1, can[1]>>k&1 == 1
		switch {
		case !isFalse && !isTrue:
			return false
		case p.values[v] < 0 && !isFalse:
			p.set(v, 1)
		case p.values[v] < 0 && !isTrue:
			p.set(v, 0)
		}
	}
	return true
}

// parts divides a puzzle into those that have no choice in common. Choices that
// nothing depends on are left out.
func (p *puzzle) parts() []*puzzle {
	of := make([]int, len(p.prefer)) // another choice of the same part
	for i := range of {
		of[i] = i
	}
	find := func(i int) int {
		for of[i] != i {
			of[i] = of[of[i]]
			i = of[i]
		}
		return i
	}
	for _, c := range p.clauses {
		for _, v := range c.choices[1:] {
			of[find(v)] = find(c.choices[0])
		}
	}
	var out []*puzzle
	part, number := map[int]*puzzle{}, make([]int, len(p.prefer))
	for _, c := range p.clauses {
		root := find(c.choices[0])
		q := part[root]
		if q == nil {
			q = &puzzle{}
			part[root], out = q, append(out, q)
		}
		own := clause{choices: make([]int, len(c.choices)), allowed: c.allowed}
		for k, v := range c.choices {
			if number[v] == 0 {
				q.prefer, q.names = append(q.prefer, p.prefer[v]), append(q.names, v)
				number[v] = len(q.prefer)
			}
			own.choices[k] = number[v] - 1
		}
		q.clauses = append(q.clauses, own)
	}
	return out
}

// literal is a choice or its opposite, or, with choice -1, a known value: the
// value when the choice is true.
type literal struct {
	choice int
	value  bool
}

// require adds the clause that a condition holds of some literals. It tells
// whether the condition can hold at all.
func (p *puzzle) require(literals []literal, holds func(values []bool) bool) bool {
	var choices []int
	for _, l := range literals {
		if l.choice >= 0 && !slices.Contains(choices, l.choice) {
			choices = append(choices, l.choice)
		}
	}
	values := make([]bool, len(literals))
	c := clause{choices: choices}
	for m := range 1 << len(choices) {
		for i, l := range literals {
			values[i] = l.value
			if l.choice >= 0 {
				for k, v := range choices {
					if v == l.choice {
						values[i] = l.value == (m>>k&1 == 1)
					}
				}
			}
		}
		if holds(values) {
			c.allowed |= 1 << m
		}
	}
	if len(choices) == 0 {
		return c.allowed != 0
	}
	p.clauses = append(p.clauses, c)
	return c.allowed != 0
}

// The conditions, on whether the second of two layers is above the first.

// noCycle holds of ij, jk and ik.
func noCycle(v []bool) bool { return v[0] != v[1] || v[0] == v[2] }

// sameSide holds of qa and qb when q lies on one side of both layers joined
// along a crease q runs across.
func sameSide(v []bool) bool { return v[0] == v[1] }

// notInterleaved holds of ac, ad, bc and bd when of two pairs joined along
// creases in one place, a with b and c with d, both pairs to one side of it,
// none has exactly one layer of the other between its own.
func notInterleaved(v []bool) bool { return (v[0] != v[2]) == (v[1] != v[3]) }
