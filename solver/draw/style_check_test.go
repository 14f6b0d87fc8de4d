package draw

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

func TestReadyStylesPass(t *testing.T) {
	for _, name := range []string{"default", "monochrome"} {
		table, ok := NamedStyles(name)
		if !ok {
			t.Fatalf("no styles %s", name)
		}
		if err := table.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		// All eight operations, for every eye, by colour, dash or width.
		for _, l := range table.LookAlikes() {
			// Words and crosses tell themselves apart from lines.
			if l.A == Label || l.B == Label || l.A == Registration || l.B == Registration {
				continue
			}
			t.Errorf("%s: %s and %s look alike (%s)", name, l.A, l.B, l.Eye)
		}
	}
	if _, ok := NamedStyles("rainbow"); ok {
		t.Error("an unknown table must not be found")
	}
}

// Red and green of one lightness: apart for most, alike for some.
func TestLookAlikes(t *testing.T) {
	table := DefaultStyles()
	table[Cut].Color, table[ScoreMountain].Color, table[ScoreMountain].Dash = "#c8622c", "#8a8420", nil
	var eyes []string
	for _, l := range table.LookAlikes() {
		if l.A == Cut && l.B == ScoreMountain {
			eyes = append(eyes, l.Eye)
		}
	}
	if slices.Contains(eyes, "full") || !slices.Contains(eyes, "deuteranopia") {
		t.Errorf("alike for %v", eyes)
	}
	table[ScoreMountain].Width = 0.5
	for _, l := range table.LookAlikes() {
		if l.A == Cut && l.B == ScoreMountain {
			t.Error("twice the width tells them apart")
		}
	}
	table[ScoreMountain].Width, table[ScoreMountain].Color = table[Cut].Width, table[Cut].Color
	if n := len(table.LookAlikes()); n < len(eyes)+1 {
		t.Errorf("one colour: %d pairs", n)
	}
}

func TestParseStyles(t *testing.T) {
	layer, color, width, aci := "Blade", "#FF8000", 0.4, 30
	dash, none := []float64{3, 1.5}, []float64{}
	got, err := ParseStyles(DefaultStyles(), map[string]StyleChange{
		"cut":          {Layer: &layer, Color: &color, Width: &width, ACI: &aci, Dash: &dash},
		"score_valley": {Dash: &none},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := Style{Layer: "Blade", Color: "#FF8000", Dash: []float64{3, 1.5}, Width: 0.4, ACI: 30}
	if g := got[Cut]; g.Layer != want.Layer || g.Color != want.Color || !slices.Equal(g.Dash, want.Dash) || g.Width != want.Width || g.ACI != want.ACI {
		t.Errorf("%+v", g)
	}
	if len(got[ScoreValley].Dash) != 0 || got[ScoreValley].Color != DefaultStyles()[ScoreValley].Color {
		t.Errorf("%+v", got[ScoreValley])
	}
	dash[0] = 99
	if got[Cut].Dash[0] != 3 {
		t.Error("the table must keep its own dashes")
	}
}

func TestParseStylesRefuses(t *testing.T) {
	text := func(s string) *string { return &s }
	real := func(v float64) *float64 { return &v }
	whole := func(v int) *int { return &v }
	list := func(v ...float64) *[]float64 { return &v }
	rows := []struct {
		op      string
		c       StyleChange
		pointer string
		code    StyleCode
	}{
		{"sail", StyleChange{}, "/sail", UnknownOperation},
		{"a/b~c", StyleChange{}, "/a~1b~0c", UnknownOperation},
		{"cut", StyleChange{Layer: text("")}, "/cut/layer", BadLayerName},
		{"cut", StyleChange{Layer: text(" cut")}, "/cut/layer", BadLayerName},
		{"cut", StyleChange{Layer: text("a|b")}, "/cut/layer", BadLayerName},
		{"cut", StyleChange{Layer: text("a\x07b")}, "/cut/layer", BadLayerName},
		{"cut", StyleChange{Layer: text("\xff")}, "/cut/layer", BadLayerName},
		{"cut", StyleChange{Layer: text("0")}, "/cut/layer", BadLayerName},
		{"cut", StyleChange{Layer: text("Sheet Notes")}, "/cut/layer", BadLayerName},
		{"cut", StyleChange{Layer: text(strings.Repeat("ö", 65))}, "/cut/layer", BadLayerName},
		{"glue", StyleChange{Color: text("red")}, "/glue/color", BadColor},
		{"glue", StyleChange{Color: text("#12345")}, "/glue/color", BadColor},
		{"glue", StyleChange{Color: text("#+12345")}, "/glue/color", BadColor},
		{"glue", StyleChange{Color: text("#12345g")}, "/glue/color", BadColor},
		{"print", StyleChange{Dash: list(1)}, "/print/dash", BadDash},
		{"print", StyleChange{Dash: list(1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1)}, "/print/dash", BadDash},
		{"print", StyleChange{Dash: list(1, 0)}, "/print/dash/1", BadDash},
		{"print", StyleChange{Dash: list(-1, 2)}, "/print/dash/0", BadDash},
		{"label", StyleChange{Width: real(0)}, "/label/width", BadWidth},
		{"label", StyleChange{Width: real(6)}, "/label/width", BadWidth},
		{"label", StyleChange{ACI: whole(256)}, "/label/color_index", BadColorIndex},
	}
	for _, r := range rows {
		_, err := ParseStyles(DefaultStyles(), map[string]StyleChange{r.op: r.c})
		var faults StyleErrors
		if !errors.As(err, &faults) || len(faults) != 1 {
			t.Errorf("%s: %v", r.pointer, err)
			continue
		}
		if f := faults[0]; f.Pointer() != r.pointer || f.Code != r.code || f.Detail == "" {
			t.Errorf("%s: %+v at %s", r.pointer, f, f.Pointer())
		}
	}
	// Several faults come all at once, in a fixed order.
	for range 20 {
		_, err := ParseStyles(DefaultStyles(), map[string]StyleChange{
			"zeta": {}, "alpha": {}, "glue": {Width: real(-1)}, "cut": {Color: text(""), Width: real(-1)},
		})
		var faults StyleErrors
		errors.As(err, &faults)
		var at []string
		for _, f := range faults {
			at = append(at, f.Pointer())
		}
		if s := strings.Join(at, " "); s != "/alpha /zeta /cut/color /cut/width /glue/width" {
			t.Fatal(s)
		}
	}
}
