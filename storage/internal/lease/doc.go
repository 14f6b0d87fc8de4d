// Package lease is how rows are handed to workers in any number of processes, in
// whichever database: somebody claims a row for a while, under a token that the
// row keeps, and loses it when it is not kept in time. Statements are those that
// both databases understand, with times as microseconds; what differs is how a
// claim passes over the row that another process is claiming.
package lease
