// Package generated tries the contract on other people's generators of Go clients: what they write compiles, and every
// case of testdata/api goes through it to a running service and back. It is a module of its own, so that the service
// does not carry their code. What is generated is not kept.
//
//	go generate . && SALTWRIGHT_URL=http://127.0.0.1:8080 go test .
package generated

//go:generate go tool oapi-codegen -config oapi-codegen.yaml ../../api/openapi.yaml
//go:generate go tool ogen --config ogen.yaml --target ogen --clean --loglevel error ../../api/openapi.yaml
