package run

import (
	"math"

	"foldwright/solver/pattern"
)

// Note is something to know about a stock.
type Note struct {
	Stock   int     // index in the options
	Caliper float64 // of the paper the pattern is made for, mm
}

// calipersAlike is the relative difference of thickness up to which paper
// counts as what a pattern was made for: what makers allow themselves (common
// practice: 5 to 10 %).
const calipersAlike = 0.1

// notes tells of stocks of another thickness than the slots of the pattern are
// made for.
func (o *Options) notes(p *pattern.Pattern) []Note {
	if o.Caliper == 0 {
		return nil
	}
	var out []Note
	for i := range o.Stocks {
		c := o.Stocks[i].Caliper
		if c == 0 || math.Abs(c-o.Caliper) <= calipersAlike*o.Caliper {
			continue
		}
		for k := range p.Parts {
			if o.rule(p.Parts[k].ID).Stock == o.Stocks[i].Name {
				out = append(out, Note{i, o.Caliper})
				break
			}
		}
	}
	return out
}
