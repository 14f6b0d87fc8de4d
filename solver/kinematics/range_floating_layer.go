package kinematics

// enclose: bases and tops have half the dihedral of the host, the tops of the centre
// what is left of that to a flat one, and the layer's own fold has all of it.
func (f *floatingLayer) enclose(r *Ranges) enclosure {
	psi, ok := f.host.dihedral(r)
	if !ok {
		return unknown
	}
	for fold := f.folds.first; fold <= f.layerFold; fold++ {
		r.begin(fold)
	}
	psi.each(nil, func(psi turn) bool {
		half := arcOf(psi.half())
		for fold := f.folds.first; fold < f.folds.end-2; fold++ {
			r.include(fold, half)
		}
		for fold := f.folds.end - 2; fold < f.folds.end; fold++ {
			r.include(fold, quarterTurns(2).minus(half))
		}
		r.include(f.layerFold, half.times(2))
		return true
	})
	return enclosed
}
