// Package backup writes everything a database holds into one file and puts it
// back into an empty one, of either kind: a backup of a file restores into a
// server, and the other way.
//
// The file is a ZIP archive. Each table is an entry tables/<name>.jsonl, one row
// a line, a JSON list in the order of the columns: text as text, integers as
// numbers, times as microseconds since 1970, bytes in base64. The entry
// backup.json comes last and lists tables, columns, numbers of rows and the
// SHA-256 of each entry, so that damage is found whatever it hit. It holds the
// hashes of keys and shares, and the secrets of hooks: keep it as safe as the
// database.
package backup
