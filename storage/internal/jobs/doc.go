// Package jobs keeps jobs and hands them to workers, in whichever database. Its
// statements are those that both understand, with times as microseconds; what
// differs is how a claim passes over the row that another process is claiming.
package jobs
