// Package api is the HTTP interface of the service, and the way from the bytes
// of a design document to the bytes of an answer.
//
// The contract is openapi/openapi.yaml; gen.go is made from it. A request goes
// through the middleware (request id, log and counters, recovery, negotiation,
// parameters and body options held to the contract), then to a handler, which
// decodes, makes one call of the Pipeline or the store, and encodes. Errors are
// turned into problems in one place, problem_map.go.
package api
