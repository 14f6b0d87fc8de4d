// Package sqlite keeps designs in one file, with SQLite in pure Go.
//
// Writes go through a single connection, for SQLite has one writer at a time
// anyway and waiting in the pool is fair and heeds the context. Every write
// transaction begins as a writer, so none has to be upgraded and fail halfway
// because another process wrote first. Reads go through connections of their
// own and, with the write-ahead log, never wait for a write.
package sqlite
