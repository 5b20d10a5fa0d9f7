// Package contract is the only reader of api/openapi.yaml, at run time and at
// build time, and the only importer of the library that checks requests against
// it. It knows no HTTP server and no calculation.
//
//	Load            the contract, parsed and checked once for the process
//	Operation       one method of one path: what it takes, gives and costs
//	Schema          one type, allOf flattened, members in the document's order
//	Operation.Read  bytes and a query -> Request, or every violation at once
//	Request.Into    Request -> a Go struct, with the contract's defaults
//	Request.Assumed the defaults that the contract marks as assumptions
//
// A request is parsed once, into maps, lists and float64. The same tree is what
// the schema visitor of kin-openapi checks and what the Go struct is read from.
package contract
