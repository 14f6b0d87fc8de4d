// Package client is a client of the Foldwright service. Types and calls are
// generated from the contract; what is written by hand sends the key, waits its
// turn, tells problems as errors and reads the events of a job.
//
//	foldwright, err := client.New("http://127.0.0.1:8080", key)
//	answer, err := foldwright.CheckWithResponse(ctx, client.CheckRequest{Design: &design})
//	if problem, ok := errors.AsType[*client.Problem](err); ok {
//		fmt.Println(problem.Detail, problem.Errors) // with a JSON pointer for each field
//	}
//	fmt.Println(answer.JSON200.Verdict)
//
// Lengths are in the design's units, angles in degrees. Optional fields are
// pointers, for which new(150.0) will do. A mechanism is made from one of its
// kind with Mechanism.FromVFold and its like. Where an answer may be a drawing,
// Accept chooses which, and the bytes are in the answer's Body.
package client

//go:generate go tool oapi-codegen --config gen.yaml ../openapi.yaml
