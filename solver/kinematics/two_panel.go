package kinematics

import "foldwright/solver/design"

// twoPanel is what all mechanisms of two panels and three folds share.
type twoPanel struct {
	host        hostFold
	left, right int // panels
	leftBase    int // fold; the ridge and the right base follow
	bar         dyad
}

func (t *twoPanel) ridge() int     { return t.leftBase + 1 }
func (t *twoPanel) rightBase() int { return t.leftBase + 2 }

// baseLine is where a panel is glued: the host's face with its origin at the
// start of the base line, along it, and away towards the part of the host that
// is outside the mechanism; and the face of the panel.
type baseLine struct {
	host, panel Face
	start       float64 // where the line begins, from its origin
	length      float64 // where it ends
	// hostLeft is whether the host is the left face of the base fold.
	hostLeft bool
}

// addFolds makes the three folds. ridge is the ridge as a face of each panel;
// ridgeLeft tells which panel, 0 left or 1 right, is the ridge's left face.
func (t *twoPanel) addFolds(c *compiler, i int, m *design.Mechanism, base [2]baseLine, ridge [2]Face, ridgeLeft int, ridgeStart, ridgeLength float64) {
	addBase := func(name string, b baseLine) int {
		f := Fold{
			ID: m.ID + "." + name, Mechanism: i, Role: BaseFold,
			Left: b.host, Right: b.panel, Start: b.start, Length: b.length,
			Panels: [2]int{b.host.Panel, b.panel.Panel},
		}
		if !b.hostLeft {
			f.Left, f.Right = b.panel, b.host
		}
		return c.addFold(f)
	}
	t.leftBase = addBase("left_base", base[0])
	c.addFold(Fold{
		ID: m.ID + ".ridge", Mechanism: i, Role: RidgeFold,
		Left: ridge[ridgeLeft], Right: ridge[1-ridgeLeft], Start: ridgeStart, Length: ridgeLength,
		Panels: [2]int{ridge[0].Panel, ridge[1].Panel},
	})
	addBase("right_base", base[1])
}

func (t *twoPanel) enclose(r *Ranges) enclosure { return t.bar.enclose(r, &t.host, t.leftBase) }
