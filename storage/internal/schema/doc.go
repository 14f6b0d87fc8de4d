// Package schema brings a database to the schema this program was built for.
// It is the only place that knows the migration library.
package schema
