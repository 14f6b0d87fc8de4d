package storage_test

import (
	"testing"
	"unicode"

	"foldwright/storage"

	"pgregory.net/rapid"
)

func TestFoldEquates(t *testing.T) {
	for _, tc := range []struct{ why, a, b string }{
		{"ASCII", "Harbour", "hARBOUR"},
		{"a letter outside ASCII", "PHARE DE L'ÎLE", "phare de l'île"},
		{"composed and decomposed", "jet\u00e9e", "JETE\u0301E"},
		{"a fold that lengthens", "Straße zum Kai", "STRASSE ZUM KAI"},
		{"final sigma", "ΦΑΡΟΣ", "φαρος"},
		{"Cyrillic", "МАЯК", "маяк"},
	} {
		if a, b := storage.Fold(tc.a), storage.Fold(tc.b); a != b {
			t.Errorf("%s: %q folds to %q, %q to %q", tc.why, tc.a, a, tc.b, b)
		}
	}
}

func TestFoldKeepsAccents(t *testing.T) {
	if storage.Fold("jetée") == storage.Fold("jetee") {
		t.Error("an accent was folded away")
	}
}

// The standard library's table of simple folds is an independent source for
// which letters differ in case only.
func TestFoldEquatesEveryLetterWithItsOtherCases(t *testing.T) {
	for r := rune(1); r <= unicode.MaxRune; r++ {
		other := unicode.SimpleFold(r)
		if a, b := storage.Fold(string(r)), storage.Fold(string(other)); a != b {
			t.Errorf("%c %U folds to %q, %c %U to %q", r, r, a, other, other, b)
		}
	}
}

// A stored fold is compared with the fold of a search, so folding what is
// already folded must change nothing.
func TestFoldIsIdempotent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		once := storage.Fold(rapid.String().Draw(t, "text"))
		if twice := storage.Fold(once); twice != once {
			t.Fatalf("%q folds again to %q", once, twice)
		}
	})
}
