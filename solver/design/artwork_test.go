package design

import (
	"errors"
	"testing"
)

// Nothing is printed beside a figure.
func TestArtworkStaysOnTheFigure(t *testing.T) {
	decode := func(artwork string) error {
		_, err := Decode([]byte(`{"spread":{"page_width":130,"page_height":180},"mechanisms":[
			{"id":"lamp","kind":"figure","on":{"panel":"page.right"},"outline":"M0 0H20V24H0Z","artwork":"` + artwork + `"}]}`))
		return err
	}
	if err := decode("M2 2L18 22M2 22L18 2"); err != nil {
		t.Error(err)
	}
	for _, artwork := range []string{"M2 2L22 22", "M-1 3h4", "M2 2", "hull"} {
		var invalid *Invalid
		if err := decode(artwork); !errors.As(err, &invalid) || invalid.Problems[0].Pointer != "/mechanisms/0/artwork" {
			t.Errorf("%q: %v", artwork, err)
		}
	}
}
