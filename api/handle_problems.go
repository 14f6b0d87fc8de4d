package api

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/getkin/kin-openapi/openapi3"
)

// problemCatalogue explains every problem; the examples are the contract's.
func problemCatalogue(doc *openapi3.T) (*ProblemCatalogue, error) {
	examples, err := problemExamples(doc)
	if err != nil {
		return nil, err
	}
	out := &ProblemCatalogue{}
	for _, k := range problemKinds {
		example, ok := examples[k.address()]
		if !ok {
			return nil, fmt.Errorf("api: the contract has no example of the problem %s", k.name)
		}
		out.Problems = append(out.Problems, ProblemType{
			Type: k.address(), Title: k.title, Status: k.status, Explanation: k.explanation, Example: example,
		})
	}
	for _, c := range codeInfos {
		out.Codes = append(out.Codes, FieldErrorInfo{Code: c.code, Problem: c.kind.address(), Explanation: c.explanation})
	}
	return out, nil
}

// problemExamples are the examples of the contract that are problems, by type.
func problemExamples(doc *openapi3.T) (map[string]Problem, error) {
	examples := map[string]Problem{}
	for name, ref := range doc.Components.Examples {
		data, err := json.Marshal(ref.Value.Value)
		if err != nil {
			return nil, fmt.Errorf("api: example %s: %w", name, err)
		}
		var p Problem
		if json.Unmarshal(data, &p) == nil && p.Type != "" {
			examples[p.Type] = p
		}
	}
	return examples, nil
}

// ListProblems answers GET /problems.
func (s *Server) ListProblems(context.Context, ListProblemsRequestObject) (ListProblemsResponseObject, error) {
	return ListProblems200JSONResponse(*s.problems), nil
}

// GetProblem answers GET /problems/{problem}.
func (s *Server) GetProblem(_ context.Context, request GetProblemRequestObject) (GetProblemResponseObject, error) {
	for _, p := range s.problems.Problems {
		if p.Type == problemBase+request.Problem {
			return GetProblem200JSONResponse(p), nil
		}
	}
	return nil, &fault{kind: notFound, detail: "there is no such problem type; GET /problems lists them"}
}
