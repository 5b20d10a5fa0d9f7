package sim

import (
	"context"
	"syscall"
	"testing"
)

// The processor time of one event: nine days of a tank whose heater and top-off switch some five hundred times.
func BenchmarkRun(b *testing.B) {
	s := bench()
	s.wiring = s.wired()
	e := EffectOf(s, nil)
	spent := func() float64 {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			b.Fatal(err)
		}
		return float64(u.Utime.Nano() + u.Stime.Nano())
	}
	events, before := 0, spent()
	var c *Course
	for b.Loop() {
		var err error
		if c, err = RunEffect(context.Background(), s, nil, e, 9*daySeconds, c); err != nil {
			b.Fatal(err)
		}
		events += len(c.Segments)
	}
	b.ReportMetric((spent()-before)/float64(events), "cpu-ns/event")
}
