// Package observed lets somebody watch every call of a database, whatever its
// driver. The methods are generated from the interfaces of package storage, so
// that a new one is watched without anybody thinking of it.
package observed

//go:generate go run ./internal/write/cmd
