package api

// The contract first, which has its own part that is written by a tool.

//go:generate go generate ../openapi
//go:generate go tool oapi-codegen --config gen.yaml ../openapi/openapi.yaml
