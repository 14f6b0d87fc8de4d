package design

import (
	"fmt"
	"slices"
	"strings"
)

// resolve checks the names in a design and puts the mechanisms in an order in
// which every host comes before what stands on it.
func (f *faults) resolve(d *Design) {
	byID := f.uniqueIDs(d)
	d.hosts = make([][]int, len(d.Mechanisms))
	for i := range d.Mechanisms {
		if host := f.resolveHost(&d.Mechanisms[i], i, byID, d); host >= 0 {
			d.hosts[i] = append(d.hosts[i], host)
		}
		f.resolveJoins(i, byID, d)
	}
	f.limitLinkages(d)
	d.order = f.hostsFirst(d)
}

func pointerTo(mechanism int, rest string) string {
	return fmt.Sprintf("/mechanisms/%d/%s", mechanism, rest)
}

func (f *faults) uniqueIDs(d *Design) map[string]int {
	byID := map[string]int{}
	for i, m := range d.Mechanisms {
		switch first, taken := byID[m.ID]; {
		case m.ID == "":
		case m.ID == "page" || m.ID == Gutter:
			f.add(pointerTo(i, "id"), CodeBadID, "%q names part of the spread; choose another", m.ID)
		case taken:
			f.add(pointerTo(i, "id"), CodeDuplicateID, "%q is already the id of mechanism %d; ids must differ", m.ID, first)
		default:
			byID[m.ID] = i
		}
	}
	return byID
}

// resolveHost checks what mechanism i stands on, fills in the side a fold is
// stood on by default, and gives the index of the host mechanism or -1.
func (f *faults) resolveHost(m *Mechanism, i int, byID map[string]int, d *Design) int {
	info := m.Info()
	if info == nil || info.Stands == OnPage {
		return -1
	}
	want, got, other := m.On.Fold, m.On.Panel, "panel"
	if info.Stands == OnPanel {
		want, got, other = m.On.Panel, m.On.Fold, "fold"
	}
	if got != "" {
		f.add(pointerTo(i, "on/"+other), CodeNotAllowed, "%s stands on a %s, not on a %s", m.Kind, info.Stands, other)
	}
	if want == "" {
		if pointer := pointerTo(i, "on/"+string(info.Stands)); got == "" && !f.named(pointerTo(i, "on"), pointer) {
			f.add(pointer, CodeMissing, "required: the %s the mechanism stands on", info.Stands)
		}
		return -1
	}
	host, name := f.findHost(info.Stands, want, pointerTo(i, "on/"+string(info.Stands)), byID, d)
	if info.Stands == OnFold {
		f.resolveSide(m, i, host, name, d)
		if info.OneSheet && name == "ridge" && m.On.Side == Outer {
			f.add(pointerTo(i, "on/side"), CodeNotAllowed,
				"the top of a ridge opens beyond flat, where what is cut from it would tear; stand %s underneath it", m.Kind)
		}
		if info.OneSheet && !oneSheet(d, host, name) {
			f.add(pointerTo(i, "on/fold"), CodeNotAllowed,
				"%s is cut from its host, so it stands only between two parts of one sheet: the gutter, a ridge, or a fold of another cut mechanism", m.Kind)
		}
	} else if m.On.Side != "" {
		f.add(pointerTo(i, "on/side"), CodeNotAllowed, "only a fold has sides")
	}
	return host
}

// resolveJoins checks the panels a mechanism is fixed to besides its host.
func (f *faults) resolveJoins(i int, byID map[string]int, d *Design) {
	spec, ok := d.Mechanisms[i].Spec.(joined)
	if !ok {
		return
	}
	for _, j := range spec.joins() {
		host, _ := f.findHost(OnPanel, j.panel, pointerTo(i, j.pointer), byID, d)
		if host >= 0 && !slices.Contains(d.hosts[i], host) {
			d.hosts[i] = append(d.hosts[i], host)
		}
	}
}

// findHost looks a fold or panel up by name; name is the part after the dot.
func (f *faults) findHost(stands Stands, want, pointer string, byID map[string]int, d *Design) (host int, name string) {
	if stands == OnFold && want == Gutter || stands == OnPanel && (want == PageLeft || want == PageRight) {
		return -1, want
	}
	id, name, dotted := strings.Cut(want, ".")
	host, known := byID[id]
	if !dotted || !known {
		f.add(pointer, CodeUnknownHost, "there is no %s %q; use %s, or one a mechanism of this design makes", stands, clip(want), spreadNames(stands))
		return -1, ""
	}
	info := d.Mechanisms[host].Info()
	panels, made := d.Mechanisms[host].Makes()
	if stands == OnPanel {
		made = panels
	}
	if slices.Contains(made, name) {
		return host, name
	}
	if len(made) == 0 {
		f.add(pointer, CodeUnknownHost, "%q is a %s, which makes no %ss", id, info.Kind, stands)
	} else {
		f.add(pointer, CodeUnknownHost, "%q is a %s, which makes %s", id, info.Kind, id+"."+strings.Join(made, ", "+id+"."))
	}
	return -1, ""
}

// oneSheet tells whether both sides of a fold are of one sheet: all but where a
// panel is glued to its host.
func oneSheet(d *Design, host int, fold string) bool {
	if host < 0 || fold == "ridge" {
		return true
	}
	info := d.Mechanisms[host].Info()
	return info.OneSheet || slices.Contains(info.creases, fold)
}

func spreadNames(s Stands) string {
	if s == OnFold {
		return Gutter
	}
	return PageLeft + " or " + PageRight
}

// resolveSide fills in the side of a fold that is stood on where it is left out:
// that the fold is worked on.
func (f *faults) resolveSide(m *Mechanism, i, host int, fold string, d *Design) {
	working, oneSided := Inner, false
	if host >= 0 {
		working = d.Mechanisms[host].WorkingSide(fold)
		oneSided = slices.Contains(d.Mechanisms[host].Info().oneSided, fold)
	}
	switch {
	case fold == Gutter && m.On.Side == Outer:
		f.add(pointerTo(i, "on/side"), CodeNotAllowed, "the gutter is stood on from inside the spread only")
	case m.On.Side == "":
		m.On.Side = working
	case oneSided && m.On.Side != working:
		f.add(pointerTo(i, "on/side"), CodeNotAllowed, "%s is stood on from its %s side only", m.On.Fold, working)
	}
}

// hostsFirst sorts the mechanisms by generation, then by place in the list. A
// mechanism whose hosts lead back to itself is a fault.
func (f *faults) hostsFirst(d *Design) []int {
	order := make([]int, 0, len(d.hosts))
	placed := make([]bool, len(d.hosts))
	ready := func(i int) bool {
		return !slices.ContainsFunc(d.hosts[i], func(host int) bool { return !placed[host] })
	}
	for len(order) < len(d.hosts) {
		before := len(order)
		for i := range d.hosts {
			if !placed[i] && ready(i) {
				placed[i] = true
				order = append(order, i)
			}
		}
		if len(order) == before {
			f.reportCycles(d, placed)
			return nil
		}
	}
	return order
}

func (f *faults) reportCycles(d *Design, placed []bool) {
	for i := range d.hosts {
		if placed[i] {
			continue
		}
		if chain := d.chainTo(i, i, make([]bool, len(d.hosts))); chain != nil {
			names := []string{d.Mechanisms[i].ID}
			for _, at := range chain {
				names = append(names, d.Mechanisms[at].ID)
			}
			f.add(pointerTo(i, "on"), CodeHostCycle, "hosts lead back to the mechanism itself: %s", strings.Join(names, " on "))
		}
	}
}

// chainTo lists the hosts that lead from one mechanism to another; nil when
// none do.
func (d *Design) chainTo(from, to int, seen []bool) []int {
	for _, host := range d.hosts[from] {
		if host == to {
			return []int{host}
		}
		if seen[host] {
			continue
		}
		seen[host] = true
		if chain := d.chainTo(host, to, seen); chain != nil {
			return append([]int{host}, chain...)
		}
	}
	return nil
}
