// Package keyset makes and reads the cursors of listed pages: where a page
// ended, in the order of the list, so that the next begins there however many
// rows have come or gone. A cursor carries a mark of its query and is refused
// under any other.
package keyset
