package guide

import (
	"strings"

	"foldwright/solver/pattern"
)

// list writes the list of parts.
func (w *writer) list() {
	for i := range w.p.Parts {
		part := &w.p.Parts[i]
		size := part.Outline.Bounds().Size()
		entry := Part{
			ID: part.ID, Name: part.Name, Count: part.Count * w.o.Copies,
			Size:    w.length(size.X) + " × " + w.length(size.Y),
			Creases: w.creases(part),
		}
		for k := range w.p.Joints {
			if j := &w.p.Joints[k]; j.Part == part.ID || j.Host == part.ID {
				entry.Letters = append(entry.Letters, j.Label)
			}
		}
		if w.Pictures {
			entry.Picture = flatPicture(part, w.w.captionFlat.with("part", w.name(part.ID)))
		}
		w.Parts = append(w.Parts, entry)
	}
}

// creases counts a part's creases as they are folded: of each fold one, though it
// may be scored in pieces.
func (w *writer) creases(part *pattern.Part) string {
	valleys, mountains := 0, 0
	for i := range part.Creases {
		if part.Creases[i].Kind == pattern.Mountain {
			mountains++
		} else {
			valleys++
		}
	}
	var list []string
	if valleys > 0 {
		list = append(list, w.w.valley.of(valleys))
	}
	if mountains > 0 {
		list = append(list, w.w.mountain.of(mountains))
	}
	return strings.Join(list, w.w.and)
}
