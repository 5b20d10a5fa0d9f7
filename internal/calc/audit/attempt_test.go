package audit

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An audit in two parts is the audit, however its faults are divided.
func TestAnAttemptIsAnAuditInTwoParts(t *testing.T) {
	ctx := context.Background()
	p := guarded()
	whole := single(t, p)
	for _, every := range []int{1, 2, 5, 1000} {
		n := 0
		a, err := Begin(ctx, p, MaxEvents, func(string) bool { n++; return n%every == 0 })
		require.NoError(t, err)
		part := a.Report()
		assert.Len(t, part.Faults, len(whole.Faults)/every)
		assert.Equal(t, whole.Nominal, part.Nominal)
		r, err := a.Whole(ctx)
		require.NoError(t, err)
		assert.Equal(t, whole.Faults, r.Faults)
		assert.Equal(t, whole.Contacts, r.Contacts)
		assert.Equal(t, whole.Findings, a.Findings())
		assert.GreaterOrEqual(t, r.Events, whole.Events, "what both parts share is followed twice")
	}
}
