package storage

import (
	"strings"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Fold brings text to the form in which titles are searched: full Unicode case
// folding, then composed characters. So É finds é however either is encoded,
// and STRASSE finds Straße; but e does not find é, for accents distinguish.
//
// The fold is computed here and stored beside the title because no two
// databases agree on it: SQLite folds ASCII only, and Postgres folds by the
// locale it was installed with. Changing this function needs a migration that
// folds the stored titles again.
func Fold(s string) string {
	// Decomposing first lets a letter and its accents fold one by one, which
	// is how Unicode defines caseless matching (Unicode 15, section 3.13, D145).
	// Upper case comes before the fold because x/text v0.43 swaps the two
	// cases of Cherokee instead of folding them.
	return norm.NFC.String(cases.Fold().String(strings.ToUpper(norm.NFD.String(s))))
}
