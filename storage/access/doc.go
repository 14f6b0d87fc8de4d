// Package access says who may do what: the scopes of keys, and the secrets that
// prove that a request comes with one.
package access
