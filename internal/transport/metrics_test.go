package transport

import (
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus/testutil"
	"github.com/stretchr/testify/assert"
)

func TestWorkAndBuildAreShown(t *testing.T) {
	m := newMetrics()
	m.watchWork(func() (working, waiting int) { return 2, 3 })
	m.watchBuild("1.2.3")
	m.watchStore(func() bool { return true })
	assert.NoError(t, testutil.GatherAndCompare(m.registry, strings.NewReader(`
# HELP saltwright_calculations_waiting Long calculations that wait for a place.
# TYPE saltwright_calculations_waiting gauge
saltwright_calculations_waiting 3
# HELP saltwright_calculations_working Long calculations that have a place.
# TYPE saltwright_calculations_working gauge
saltwright_calculations_working 2
# HELP saltwright_limit_store_degraded 1 while the shared limit store is left alone and each replica counts for itself.
# TYPE saltwright_limit_store_degraded gauge
saltwright_limit_store_degraded 1
`), "saltwright_calculations_waiting", "saltwright_calculations_working", "saltwright_limit_store_degraded"))
	families, err := m.registry.Gather()
	assert.NoError(t, err)
	for _, f := range families {
		if f.GetName() == "saltwright_build_info" {
			labels := f.GetMetric()[0].GetLabel() // in the order of their names
			assert.Equal(t, []string{"commit", "go", "version"},
				[]string{labels[0].GetName(), labels[1].GetName(), labels[2].GetName()})
			assert.NotEmpty(t, labels[0].GetValue())
			assert.Contains(t, labels[1].GetValue(), "go1.")
			assert.Equal(t, "1.2.3", labels[2].GetValue())
			return
		}
	}
	t.Error("the build is not shown")
}
