// Command foldwright serves the HTTP API, and makes the files of one design
// without a server.
package main
