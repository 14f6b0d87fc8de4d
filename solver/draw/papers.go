package draw

import "strings"

// Paper is a sheet size, upright: the shorter side is the width.
type Paper struct {
	Name          string
	Width, Height float64 // mm
	Source        string
}

const (
	iso216 = "ISO 216"
	iso217 = "ISO 217"
	ansiY  = "ANSI/ASME Y14.1, from memory"
)

// Papers lists the sheet sizes known by name. The standards allow ±1.5 mm up
// to 150 mm, ±2 mm up to 600 mm and ±3 mm above, so a drawing must not count on
// the edge of its paper.
func Papers() []Paper {
	return []Paper{
		{"A0", 841, 1189, iso216}, {"A1", 594, 841, iso216}, {"A2", 420, 594, iso216},
		{"A3", 297, 420, iso216}, {"A4", 210, 297, iso216}, {"A5", 148, 210, iso216}, {"A6", 105, 148, iso216},
		{"B0", 1000, 1414, iso216}, {"B1", 707, 1000, iso216}, {"B2", 500, 707, iso216},
		{"B3", 353, 500, iso216}, {"B4", 250, 353, iso216}, {"B5", 176, 250, iso216}, {"B6", 125, 176, iso216},
		{"RA0", 860, 1220, iso217}, {"RA1", 610, 860, iso217}, {"RA2", 430, 610, iso217},
		{"RA3", 305, 430, iso217}, {"RA4", 215, 305, iso217},
		{"SRA0", 900, 1280, iso217}, {"SRA1", 640, 900, iso217}, {"SRA2", 450, 640, iso217},
		{"SRA3", 320, 450, iso217}, {"SRA4", 225, 320, iso217},
		{"Letter", 215.9, 279.4, ansiY}, {"Legal", 215.9, 355.6, "common practice"}, {"Tabloid", 279.4, 431.8, ansiY},
	}
}

// FindPaper finds a sheet size by name, in capitals or not.
func FindPaper(name string) (Paper, bool) {
	for _, p := range Papers() {
		if strings.EqualFold(p.Name, name) {
			return p, true
		}
	}
	return Paper{}, false
}
