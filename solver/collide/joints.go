package collide

import "foldwright/solver/kinematics"

// groups gathers panels into sets.
type groups []int

func newGroups(n int) groups {
	g := make(groups, n)
	for i := range g {
		g[i] = i
	}
	return g
}

// of is the set a panel is in, named by its lowest panel.
func (g groups) of(i int) int {
	for g[i] != i {
		i = g[i]
	}
	return i
}

func (g groups) join(i, j int) {
	i, j = g.of(i), g.of(j)
	g[max(i, j)] = min(i, j)
}

// sheetsOf names for every panel the first of those that lie in a plane with it
// at all times.
func sheetsOf(a *kinematics.Assembly) []int {
	g := newGroups(len(a.Panels))
	for i := range a.Joints() {
		switch j := &a.Joints()[i]; j.Kind {
		case kinematics.Glued, kinematics.Pivoted, kinematics.Sliding:
			g.join(j.Faces[0].Panel, j.Faces[1].Panel)
		}
	}
	for i := range g {
		g[i] = g.of(i)
	}
	return g
}

// far stands for a joint where there is none.
const far = -1

// hopsOf tells which joint to take from every panel to come to every other by the
// fewest joints, those of glued points only where nothing else leads on.
func hopsOf(a *kinematics.Assembly) []int16 {
	n, joints := len(a.Panels), a.Joints()
	leads := make([][]int16, n) // joints by panel
	var balls []int16
	for k := range joints {
		if joints[k].Kind == kinematics.Balled {
			balls = append(balls, int16(k))
			continue
		}
		for _, f := range joints[k].Faces {
			leads[f.Panel] = append(leads[f.Panel], int16(k))
		}
	}
	hops := make([]int16, n*n)
	for i := range hops {
		hops[i] = far
	}
	queue := make([]int, 0, n)
	for goal := range n {
		queue = append(queue[:0], goal)
		reach := func(k int16, from int) {
			to := across(&joints[k], from)
			if to != goal && hops[to*n+goal] == far {
				hops[to*n+goal] = k
				queue = append(queue, to)
			}
		}
		for next := 0; ; next++ {
			for k := 0; next == len(queue) && k < len(balls); k++ {
				for _, f := range joints[balls[k]].Faces {
					if f.Panel == goal || hops[f.Panel*n+goal] != far {
						reach(balls[k], f.Panel)
					}
				}
			}
			if next == len(queue) {
				break
			}
			for _, k := range leads[queue[next]] {
				reach(k, queue[next])
			}
		}
	}
	return hops
}

// across is the panel on the other side of a joint.
func across(j *kinematics.Joint, panel int) int {
	return j.Faces[0].Panel + j.Faces[1].Panel - panel
}
