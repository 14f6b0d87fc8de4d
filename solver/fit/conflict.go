package fit

import "slices"

// conflict looks for a smallest set of goals and conditions that cannot all
// hold, by the deletion filter (J. Chinneck, Feasibility and Infeasibility in
// Optimization, 2008, chapter 2, from memory): each party is left out in turn, and
// stays out if the rest still cannot hold. What is left is a conflict from which
// nothing can be taken. As the search for a way to hold them is a local one from
// several starts, it may be called a conflict where there is none; and another
// order may find a smaller one. nil where all can hold after all.
func (p *problem) conflict() []Party {
	parties := p.parties()
	if p.canHold(parties) {
		return nil
	}
	for i := 0; i < len(parties); {
		rest := slices.Delete(slices.Clone(parties), i, i+1)
		can := p.canHold(rest)
		if p.stop() {
			return parties // what was given up shows nothing
		}
		if can {
			i++
		} else {
			parties = rest
		}
	}
	return parties
}

// parties are the goals before what holds whatever the goals: a goal that is
// against a condition by itself is then named with it, not with another goal.
func (p *problem) parties() []Party {
	var list []Party
	for i := range p.goals {
		list = append(list, Party{Goal: p.goals[i].number})
	}
	for i := range p.task.Vary {
		if v := &p.task.Vary[i]; v.Min != nil || v.Max != nil {
			list = append(list, Party{Goal: -1, Bounds: v.Pointer})
		}
	}
	k := &p.task.Keep
	for _, c := range []struct {
		on   bool
		name string
	}{{k.Inside, insidePage}, {k.OpensFully, opensFully}, {k.Symmetric, symmetric}, {k.ShutsFlat, shutsFlat}} {
		if c.on {
			list = append(list, Party{Goal: -1, Condition: c.name})
		}
	}
	return list
}

// startsToHold is how many starts are tried to show that parties can hold.
const startsToHold = 4

// canHold tells whether a point was found at which the parties hold.
func (p *problem) canHold(parties []Party) bool {
	task := *p.task
	task.Vary = slices.Clone(task.Vary)
	keep := func(condition string) bool { return slices.Contains(parties, Party{Goal: -1, Condition: condition}) }
	task.Keep.Inside = keep(insidePage)
	task.Keep.OpensFully = keep(opensFully)
	task.Keep.Symmetric = keep(symmetric)
	task.Keep.ShutsFlat = keep(shutsFlat)
	for i := range task.Vary {
		if !slices.Contains(parties, Party{Goal: -1, Bounds: task.Vary[i].Pointer}) {
			task.Vary[i].Min, task.Vary[i].Max = nil, nil
		}
	}
	sub, err := prepare(&task, p.stop)
	if err != nil || len(sub.space.broken) > 0 {
		return false
	}
	sub.goals = slices.DeleteFunc(sub.goals, func(g goal) bool { return !slices.Contains(parties, Party{Goal: g.number}) })
	sub.band, sub.pull = true, pullOfMeasurements
	for _, y := range sub.starts(startsToHold) {
		if p.stop() {
			break
		}
		q := sub.descend(y)
		if q != nil && q.keeps() && q.misfit < holds {
			return true
		}
	}
	return false
}

// holds is the misfit below which goals hold: a ten-thousandth of a tolerance.
const holds = 1e-8
