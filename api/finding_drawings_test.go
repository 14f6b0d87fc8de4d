package api

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/testdata/faults"
)

// Every code has a drawing, well-formed, with its place marked. With
// FOLDWRIGHT_DRAWINGS set they are written there to be looked at.
func TestEveryFindingIsDrawn(t *testing.T) {
	for _, info := range finding.Catalogue() {
		raw, ok := faults.Read(string(info.Code))
		if !ok {
			t.Errorf("%s has no design to draw", info.Code)
			continue
		}
		d, err := design.Decode(raw)
		if err != nil {
			t.Fatal(err)
		}
		svg, err := drawFinding(kinematics.Compile(d), info.Code)
		if err != nil {
			t.Errorf("%s: %v", info.Code, err)
			continue
		}
		for decoder := xml.NewDecoder(bytes.NewReader(svg)); err == nil; {
			_, err = decoder.Token()
		}
		if !errors.Is(err, io.EOF) {
			t.Errorf("%s: %v", info.Code, err)
		}
		if folder := os.Getenv("FOLDWRIGHT_DRAWINGS"); folder != "" {
			if err := os.WriteFile(filepath.Join(folder, string(info.Code)+".svg"), svg, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}
