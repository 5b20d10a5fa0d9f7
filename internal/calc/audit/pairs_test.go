package audit

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

func household() plan.Plan {
	return bare()
}

func TestPairsX(t *testing.T) {
	t0 := time.Now()
	c, err := Pairs(context.Background(), household())
	require.NoError(t, err)
	t.Log(time.Since(t0), c.Considered, c.Inert, c.AlarmsOnly, c.Simulated, c.LeftOut, c.Events, len(c.Report.Faults), c.Losses(1), c.Losses(2), len(c.Rescues))
}
