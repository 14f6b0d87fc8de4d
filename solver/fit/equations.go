package fit

import (
	"math"
	"strings"

	"foldwright/solver/check"
	"foldwright/solver/design"
)

// Conditions by name, as parties to a conflict.
const (
	shutsFlat   = "shuts_flat"
	opensFully  = "opens_fully"
	insidePage  = "inside_page"
	symmetric   = "symmetric"
	noNewErrors = "no_new_errors"
	tiedNumbers = "tied"
)

// term is a number with a sign.
type term struct {
	pointer string
	sign    float64
}

// equations are the conditions that are linear in the numbers that vary.
func (p *problem) equations() []equation {
	var list []equation
	add := func(condition string, sum float64, terms ...term) {
		e := equation{make([]float64, len(p.numbers)), sum, condition}
		any := false
		for _, t := range terms {
			if i := p.index(t.pointer); i >= 0 {
				e.coef[i] += t.sign
				any = true
			} else if n, ok := p.start.Number(t.pointer); ok {
				fixed := newNumber(p.start, n)
				e.sum -= t.sign * fixed.start
			}
		}
		if any {
			list = append(list, e)
		}
	}
	for _, v := range p.task.Vary {
		leader := p.numbers[p.index(v.Pointer)].start
		for _, tied := range v.Tied {
			add(tiedNumbers, p.numbers[p.index(tied)].start-leader, term{tied, 1}, term{v.Pointer, -1})
		}
	}
	for i := range p.start.Mechanisms {
		if terms := flatTerms(p.start, i); p.task.Keep.ShutsFlat && terms != nil {
			add(shutsFlat, 0, terms...)
		}
		if p.task.Keep.Symmetric {
			for _, n := range p.start.Numbers(i) {
				if other := mirrored(n.Pointer); other != n.Pointer {
					if _, ok := p.start.Number(other); ok {
						add(symmetric, 0, term{n.Pointer, 1}, term{other, -1})
					}
				}
			}
		}
	}
	return list
}

// mirrored is the pointer of the same number on the right, of one on the left.
func mirrored(pointer string) string {
	at := strings.LastIndex(pointer, "/")
	if head, ok := strings.CutSuffix(pointer[:at], "/left"); ok {
		return head + "/right" + pointer[at:]
	}
	if field, ok := strings.CutPrefix(pointer[at:], "/left_"); ok {
		return pointer[:at] + "/right_" + field
	}
	return pointer
}

// matches is how nearly two sides must match to count as made to, in mm or
// radians: the rounding of decimals, far below a cutter's step.
const matches = 1e-9

// flatTerms is the sum that is zero while mechanism i shuts flat; nil of what
// always does, or is not so simple. Base lines a and panels p shut flat with
//
//	a₁ + p₁ = a₂ + p₂, a₁ - p₁ = a₂ - p₂ or, on a host that is flat then, a₁ + a₂ = p₁ + p₂
//
// (reference sheet 2). The way that holds now is kept; if none does, the natural
// one is taken up.
func flatTerms(d *design.Design, i int) []term {
	var base, panel string
	switch spec := d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		if spec.Right == nil {
			return nil
		}
		base, panel = "base_angle", "panel_angle"
	case *design.ParallelFold:
		if spec.Right == nil {
			return nil
		}
		base, panel = "base_offset", "panel_width"
	default:
		return nil
	}
	at := func(side, field string) string { return design.Point(i, side+"/"+field) }
	terms := func(p1, a2, p2 float64) []term {
		return []term{{at("left", base), 1}, {at("left", panel), p1}, {at("right", base), a2}, {at("right", panel), p2}}
	}
	sign := check.Outward(&d.Mechanisms[i])
	ways := [][]term{terms(sign, -1, -sign), terms(-sign, -1, sign), terms(-1, 1, -1)}
	for _, way := range ways {
		sum := 0.0
		for _, t := range way {
			n, _ := d.Number(t.pointer)
			inside := newNumber(d, n)
			sum += t.sign * inside.start
		}
		if math.Abs(sum) < matches {
			return way
		}
	}
	return ways[0]
}

// followRank tells which number of an equation follows the others: what is tied,
// then panels before base lines, and right before left.
func (p *problem) followRank(i int) int {
	pointer := p.numbers[i].Pointer
	rank := 0
	if strings.Contains(pointer, "panel_") {
		rank++
	}
	if strings.Contains(pointer, "/right") {
		rank += 2
	}
	if p.numbers[i].tied {
		rank += 4
	}
	return rank
}

func (p *problem) index(pointer string) int {
	for i := range p.numbers {
		if p.numbers[i].Pointer == pointer {
			return i
		}
	}
	return -1
}
