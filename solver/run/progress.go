package run

// progress counts the passes of all searches of a run.
type progress struct {
	tell func(done, of int)
	done int // passes of the attempts that have ended
	of   int
}

// expect counts what a search may do.
func (p *progress) expect(s *searcher) {
	s.until = p.of + s.o.Effort*(1+len(s.sizes()))
	p.of = s.until
}

// during tells of passes of the attempt under way.
func (p *progress) during(passes int) {
	if p.tell != nil {
		p.tell(p.done+passes, p.of)
	}
}

// reach ends attempts.
func (p *progress) reach(done int) {
	p.done = done
	p.during(0)
}
