package stack

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"foldwright/solver/geom"
	"foldwright/testdata/designs"
)

// The picture is well-formed, and its areas, read back, are those of the map.
func TestPictureHasTheMap(t *testing.T) {
	for _, name := range designs.Names() {
		document, _ := designs.Read(name)
		a, r := judged(t, document, Options{Map: true})
		var b bytes.Buffer
		if err := WriteSVG(&b, a.Design, r); err != nil {
			t.Fatal(err)
		}
		areas := map[string]float64{}
		for dec := xml.NewDecoder(&b); ; {
			token, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			start, ok := token.(xml.StartElement)
			if !ok || start.Name.Local != "path" {
				continue
			}
			at := map[string]string{}
			for _, attribute := range start.Attr {
				at[attribute.Name.Local] = attribute.Value
			}
			path, err := geom.ParsePath(at["d"])
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			areas[at["data-layers"]+" "+at["data-films"]] -= path.Area() // turned over
		}
		for _, region := range r.Map {
			approx(t, name, areas[fmt.Sprint(region.Layers, region.Films)], region.Area.Area(), 0.05*float64(len(region.Area)))
		}
	}
}

func TestPictureEscapesTheTitle(t *testing.T) {
	a, r := judged(t, []byte(`{"title":"Salt & <pepper>","spread":{"page_width":130,"page_height":180},"mechanisms":[]}`), Options{Map: true})
	var b bytes.Buffer
	if err := WriteSVG(&b, a.Design, r); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "<title>Salt &amp; &lt;pepper&gt;, shut: thickness</title>") {
		t.Error(b.String()[:300])
	}
}
