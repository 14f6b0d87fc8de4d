// Package storetest holds the suite that every driver of package storage must
// pass, a file for each area of the contract. Each subtest has a database of
// its own and runs beside the others.
package storetest
