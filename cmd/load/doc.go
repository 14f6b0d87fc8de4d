// Command load puts a service under a load like that of a workshop's website,
// and tells how it bears it. It is for developers.
//
// Requests arrive at a fixed rate whether or not earlier ones are answered, as
// those of people do, so that a slow answer is not hidden by asking less (an
// open loop). What is asked is stated in mix.go. With --soak it also follows
// the service's memory, and tells whether it grows.
//
//	go run ./cmd/load http://127.0.0.1:8080 --key "$KEY" --rate 500 --duration 30s
//
// The key must have the scope write, and admin for --soak. The service must
// allow the rate: FOLDWRIGHT_KEY_RATE=0. The designs it makes are left deleted.
package main
