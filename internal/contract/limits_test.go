package contract

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNoObjectOfTheContractReachesTheLimitOfMembers(t *testing.T) {
	for _, s := range load(t).Schemas {
		assert.LessOrEqual(t, len(s.Members), maxMembers, s.Name)
	}
}
