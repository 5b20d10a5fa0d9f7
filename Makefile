.PHONY: run test gates update
run:
	go run ./cmd/saltwright
test:
	go test ./...
gates:
	bash .ci/run
update: # rewrite golden answers and the contract's lock; read the diff
	go test ./internal/transport -update
