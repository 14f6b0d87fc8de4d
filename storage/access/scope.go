package access

import "slices"

// A Scope is what a key is good for.
type Scope string

// Scopes. Each of Read, Write and Admin includes the one before it.
const (
	Browser Scope = "browser" // work on posted designs, from the pages of named origins
	Read    Scope = "read"    // that work from anywhere, and reading what is stored
	Write   Scope = "write"   // and storing, deleting and sharing
	Admin   Scope = "admin"   // and keys and metrics
)

// Scopes lists the scopes, the weakest first.
func Scopes() []Scope { return []Scope{Browser, Read, Write, Admin} }

// Valid reports whether there is such a scope.
func (s Scope) Valid() bool { return slices.Contains(Scopes(), s) }

// Includes reports whether a key of scope s may do what needs one of scope t.
// The zero scope includes nothing.
func (s Scope) Includes(t Scope) bool {
	held, needed := slices.Index(Scopes(), s), slices.Index(Scopes(), t)
	return needed >= 0 && held >= needed
}
