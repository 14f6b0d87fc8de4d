// Package postgres keeps designs in a PostgreSQL server, version 15 or newer,
// which several replicas may share.
//
// A write locks the row of its design, so writers of one design go one after
// the other and writers of different designs do not meet. Transactions are
// READ COMMITTED whatever the server's default: each statement after the lock
// must see what the former holder of the lock committed.
package postgres
