package finding

import "testing"

func TestCatalogueIsComplete(t *testing.T) {
	seen := map[Code]bool{}
	for _, info := range Catalogue() {
		if seen[info.Code] || info.Title == "" || len(info.Explanation) < 40 {
			t.Errorf("catalogue entry %q is repeated or does not explain itself", info.Code)
		}
		seen[info.Code] = true
	}
}
