package storetest

import (
	"slices"
	"testing"
	"time"

	"foldwright/storage"
)

var searchTests = []test{
	{"parts of titles in any case", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		byTitle := map[string]string{}
		for _, title := range []string{
			"Harbour morning", "Jetée du phare", "JETÉE", "jete\u0301e", "Jetee",
			"Straße am Kai", "STRASSE", "ΦΑΡΟΣ", "φαρος", "Маяк",
			"100% gull", "100 gulls", "snake_case", "snake case", `back\slash`, "backslash", "灯台",
		} {
			byTitle[title] = create(t, s, titled(title)).ID
		}
		for _, tc := range []struct {
			why, search string
			want        []string
		}{
			{"a part", "bour mo", []string{"Harbour morning"}},
			{"words in any order", "MORNING harb", []string{"Harbour morning"}},
			{"words with any space between", "  kai\u00a0\tstra\u00dfe ", []string{"Straße am Kai"}},
			{"each word, not any", "harbour gull", nil},
			{"space alone, which finds all that has no words to miss", "phare \u3000", []string{"Jetée du phare"}},
			{"ASCII case", "HARBOUR", []string{"Harbour morning"}},
			{"a space at the end", "harbour ", []string{"Harbour morning"}},
			{"É is é, composed or not, and neither is e", "jetÉe", []string{"Jetée du phare", "JETÉE", "jete\u0301e"}},
			{"decomposed search", "JETE\u0301E", []string{"Jetée du phare", "JETÉE", "jete\u0301e"}},
			{"e is not é", "jetee", []string{"Jetee"}},
			{"ß is ss", "straße", []string{"Straße am Kai", "STRASSE"}},
			{"ss is ß", "Strasse", []string{"Straße am Kai", "STRASSE"}},
			{"final sigma", "φάρος", nil},
			{"both sigmas", "φαροσ", []string{"ΦΑΡΟΣ", "φαρος"}},
			{"Cyrillic", "мАЯ", []string{"Маяк"}},
			{"percent is itself", "100%", []string{"100% gull"}},
			{"percent alone", "%", []string{"100% gull"}},
			{"underscore is itself", "e_c", []string{"snake_case"}},
			{"backslash is itself", `k\s`, []string{`back\slash`}},
			{"a script without case", "台", []string{"灯台"}},
			{"nothing like it", "submarine", nil},
			{"a NUL, which no title holds", "gull\x00", nil},
			{"broken text, which no title holds", "gull\xff", nil},
			{"SQL", "' OR 1=1 --", nil},
		} {
			var want []string
			for _, title := range tc.want {
				want = append(want, byTitle[title])
			}
			got := ids(all(t, s, storage.Query{Search: tc.search}))
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("%s: %q found %v, want %v", tc.why, tc.search, got, want)
			}
		}
	}},

	{"all of several tags", func(t *testing.T, db database) {
		s := db.store(storage.Options{Now: ticking()})
		both := create(t, s, titled("Gull", "bird", "sea, salt", "Été"))
		create(t, s, titled("Owl", "bird"))
		create(t, s, titled("Kelp", "sea, salt"))
		for _, tags := range [][]string{{"bird", "sea, salt"}, {"sea, salt", "bird"}, {"bird", "bird", "Été", "sea, salt"}} {
			if got := ids(all(t, s, storage.Query{Tags: tags})); !slices.Equal(got, []string{both.ID}) {
				t.Errorf("%q: %v", tags, got)
			}
		}
		if got := ids(all(t, s, storage.Query{Tags: []string{"bird", "été"}})); len(got) != 0 {
			t.Errorf("in another case: %v", got)
		}
	}},

	{"updated then or later", func(t *testing.T, db database) {
		now := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
		s := db.store(storage.Options{Now: func() time.Time { return now }})
		old, changed := create(t, s, lighthouse(1)), create(t, s, lighthouse(1))
		now = now.Add(time.Hour)
		add(t, s, changed.ID, 1, lighthouse(2))
		for since, want := range map[time.Time]int{now: 1, now.Add(time.Microsecond): 0, old.CreatedAt: 2} {
			if got := all(t, s, storage.Query{Since: since}); len(got) != want {
				t.Errorf("since %v: %d, want %d", since, len(got), want)
			}
		}
	}},

	{"the newest title only", func(t *testing.T, db database) {
		s := db.store(storage.Options{})
		d := create(t, s, titled("Phare"))
		add(t, s, d.ID, 1, titled("Jetée"))
		if got := ids(all(t, s, storage.Query{Search: "phare"})); len(got) != 0 {
			t.Errorf("found %v by its former title", got)
		}
		if got := ids(all(t, s, storage.Query{Search: "JETÉE"})); !slices.Equal(got, []string{d.ID}) {
			t.Errorf("found %v by its title", got)
		}
	}},
}
