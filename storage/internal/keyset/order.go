package keyset

import (
	"strings"

	"foldwright/storage"
)

// Order puts the order of a query into a statement that lists designs, where the
// comments say after, key and way. The keys are the driver's words for what may
// be sorted by.
func Order(statement string, s storage.Sort, keys map[string]string) string {
	key, down := s.By()
	after, way := ">", "ASC"
	if down {
		after, way = "<", "DESC"
	}
	return strings.NewReplacer("/* key */", keys[key], "/* after */", after, "/* way */", way).Replace(statement)
}
