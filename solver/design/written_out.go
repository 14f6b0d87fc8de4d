package design

// WrittenOut is a copy of the design in which what may be left out as the mirror
// or a fraction of something else is given by itself, so that each side can
// change alone.
func (d *Design) WrittenOut() *Design {
	c := d.Clone()
	for i := range c.Mechanisms {
		switch m := c.Mechanisms[i].Spec.(type) {
		case *VFold:
			m.Right = orMirror(m.Right, m.Left)
		case *CutV:
			m.Right = orMirror(m.Right, m.Left)
		case *ParallelFold:
			m.Right = orMirror(m.Right, m.Left)
		case *Box:
			_, right := m.Offsets()
			m.RightOffset = &right
		case *FloatingLayer:
			_, extent := m.Extents()
			left, right := m.Supports()
			m.RightExtent, m.LeftSupport, m.RightSupport = &extent, &left, &right
		}
	}
	return c
}

// orMirror is the right side, or a copy of the left where it mirrors that.
func orMirror[S any](right *S, left S) *S {
	if right != nil {
		return right
	}
	return &left
}
