package api

import (
	"crypto/sha256"
	"encoding/hex"

	"foldwright/solver/design"

	"github.com/gowebpki/jcs"
)

// Document is a design as its author wrote it, and what it means.
type Document struct {
	Raw    []byte
	Design *design.Design
	// Hash names the document: "sha256:" and the hash of its canonical form
	// (RFC 8785), so that spacing and the order of fields do not matter.
	Hash string
}

const hashPrefix = "sha256:"

// readDocument decodes and names a design document. Pointers of its faults
// start with prefix.
func readDocument(raw []byte, prefix string) (*Document, error) {
	d, err := design.Decode(raw)
	if err != nil {
		return nil, within(prefix, err)
	}
	canonical, err := jcs.Transform(raw)
	if err != nil {
		// The design package lets a lone surrogate through, which has no
		// canonical form.
		return nil, within(prefix, &design.Invalid{Problems: []design.Problem{{
			Code: design.CodeMalformed, Detail: "the text has no canonical form: " + err.Error(),
		}}})
	}
	return &Document{Raw: raw, Design: d, Hash: hashOf(canonical)}, nil
}

func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hashPrefix + hex.EncodeToString(sum[:])
}

// title is what a picture or drawing of the design is called.
func (d *Document) title() string {
	if d.Design.Title == "" {
		return "Untitled design"
	}
	return d.Design.Title
}
