package quantity

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// NIST SP 811, appendix B.8: one British thermal unit (International Table) an hour is 0.2930711 W.
func TestBTUPerHour(t *testing.T) {
	assert.InEpsilon(t, 1/0.2930711, BTUPerHour(1), 1e-6)
	assert.InEpsilon(t, 3412.142, BTUPerHour(1000), 1e-6)
}
