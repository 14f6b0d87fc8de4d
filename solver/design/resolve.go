package design

import (
	"fmt"
	"strings"
)

// resolve checks the names in a design and puts the mechanisms in an order in
// which every host comes before what stands on it.
func (f *faults) resolve(d *Design) {
	byID := f.uniqueIDs(d)
	d.hosts = make([]int, len(d.Mechanisms))
	for i := range d.Mechanisms {
		d.hosts[i] = f.resolveHost(&d.Mechanisms[i], i, byID, d)
	}
	d.order = f.hostsFirst(d, d.hosts)
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
	if info == nil {
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
		if got == "" {
			f.add(pointerTo(i, "on/"+string(info.Stands)), CodeMissing, "required: the %s the mechanism stands on", info.Stands)
		}
		return -1
	}
	host, name := f.findHost(info.Stands, want, i, byID, d)
	if info.Stands == OnFold {
		f.resolveSide(m, i, name)
	} else if m.On.Side != "" {
		f.add(pointerTo(i, "on/side"), CodeNotAllowed, "only a fold has sides")
	}
	return host
}

// findHost looks a fold or panel up by name; name is the part after the dot.
func (f *faults) findHost(stands Stands, want string, i int, byID map[string]int, d *Design) (host int, name string) {
	if stands == OnFold && want == Gutter || stands == OnPanel && (want == PageLeft || want == PageRight) {
		return -1, want
	}
	pointer := pointerTo(i, "on/"+string(stands))
	id, name, dotted := strings.Cut(want, ".")
	host, known := byID[id]
	if !dotted || !known {
		f.add(pointer, CodeUnknownHost, "there is no %s %q; use %s, or one a mechanism of this design makes", stands, clip(want), spreadNames(stands))
		return -1, ""
	}
	info := d.Mechanisms[host].Info()
	made := info.Folds
	if stands == OnPanel {
		made = info.Panels
	}
	for _, m := range made {
		if m == name {
			return host, name
		}
	}
	if len(made) == 0 {
		f.add(pointer, CodeUnknownHost, "%q is a %s, which makes no %ss", id, info.Kind, stands)
	} else {
		f.add(pointer, CodeUnknownHost, "%q is a %s, which makes %s", id, info.Kind, id+"."+strings.Join(made, ", "+id+"."))
	}
	return -1, ""
}

func spreadNames(s Stands) string {
	if s == OnFold {
		return Gutter
	}
	return PageLeft + " or " + PageRight
}

func (f *faults) resolveSide(m *Mechanism, i int, fold string) {
	switch {
	case fold == Gutter && m.On.Side == Outer:
		f.add(pointerTo(i, "on/side"), CodeNotAllowed, "the gutter is stood on from inside the spread only")
	case m.On.Side != "":
	case fold == "left_base" || fold == "right_base":
		m.On.Side = Outer
	default:
		m.On.Side = Inner
	}
}

// hostsFirst sorts the mechanisms by generation, then by place in the list. A
// mechanism whose hosts lead back to itself is a fault.
func (f *faults) hostsFirst(d *Design, hostOf []int) []int {
	order := make([]int, 0, len(hostOf))
	placed := make([]bool, len(hostOf))
	for len(order) < len(hostOf) {
		before := len(order)
		for i, host := range hostOf {
			if !placed[i] && (host < 0 || placed[host]) {
				placed[i] = true
				order = append(order, i)
			}
		}
		if len(order) == before {
			f.reportCycles(d, hostOf, placed)
			return nil
		}
	}
	return order
}

func (f *faults) reportCycles(d *Design, hostOf []int, placed []bool) {
	for i := range hostOf {
		if placed[i] || !onCycle(i, hostOf) {
			continue
		}
		chain := d.Mechanisms[i].ID
		for at := hostOf[i]; at != i; at = hostOf[at] {
			chain += " on " + d.Mechanisms[at].ID
		}
		f.add(pointerTo(i, "on"), CodeHostCycle, "hosts lead back to the mechanism itself: %s on %s", chain, d.Mechanisms[i].ID)
	}
}

func onCycle(i int, hostOf []int) bool {
	at := hostOf[i]
	for steps := 0; at >= 0 && at != i && steps < len(hostOf); steps++ {
		at = hostOf[at]
	}
	return at == i
}
