package api

//go:generate go tool oapi-codegen --config gen.yaml ../openapi/openapi.yaml
