package api

import (
	"regexp"
	"strings"
)

// kept makes an answer that was worked out from a version or an example, which
// do not change, one that may be kept for a while and asked for again cheaply.
func (s *Server) kept(a *answer, err error) func(*IfNoneMatch) (*answer, error) {
	return func(held *IfNoneMatch) (*answer, error) {
		if err != nil {
			return nil, err
		}
		return a.taggedByBody(cacheAWhile, held), nil
	}
}

// asFile gives an answer a name to be saved under.
func (s *Server) asFile(title string) func(*answer, error) (*answer, error) {
	return func(a *answer, err error) (*answer, error) {
		if err != nil {
			return nil, err
		}
		name := fileName(title) + "-pattern" + extensions[a.media]
		return a.with("Content-Disposition", `inline; filename="`+name+`"`), nil
	}
}

var extensions = map[string]string{MediaJSON: ".json", MediaSVG: ".svg", MediaDXF: ".dxf"}

var unsafeInNames = regexp.MustCompile(`[^a-z0-9]+`)

// fileName is a title as part of a file name: plain letters, digits and dashes,
// so that it is safe on every system and needs no quoting in a header.
func fileName(title string) string {
	const longest = 60
	name := strings.Trim(unsafeInNames.ReplaceAllString(strings.ToLower(title), "-"), "-")
	if len(name) > longest {
		name = strings.Trim(name[:longest], "-")
	}
	if name == "" {
		return "design"
	}
	return name
}

// queryOpenings reads the openings of a GET.
func queryOpenings(openings *Openings, from *From, to *To, steps *Steps, findings *Findings) SolveOptions {
	o := SolveOptions{From: from, To: to, Steps: steps, Findings: orTrue(findings)}
	if openings != nil {
		o.Openings = *openings
	}
	return o
}
