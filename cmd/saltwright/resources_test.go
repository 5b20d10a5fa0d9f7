package main

import (
	"runtime"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestPlacesAreForProcessorsAndMemory(t *testing.T) {
	const unlimited = 1<<63 - 1
	for _, c := range []struct {
		processors int
		memory     int64
		want       int
	}{
		{1, unlimited, 1}, {2, unlimited, 1}, {3, unlimited, 2}, {16, unlimited, 15},
		{16, 256 << 20, 4}, {16, 128 << 20, 1}, {16, 32 << 20, 1}, {2, 0, 1},
	} {
		assert.Equal(t, c.want, placesFor(c.processors, c.memory), "%d processors, %d bytes", c.processors, c.memory)
	}
}

func TestWhatTheOperatorSetStays(t *testing.T) {
	limit, percent, processors := memoryLimit(), debug.SetGCPercent(100), runtime.GOMAXPROCS(0)
	defer func() {
		debug.SetMemoryLimit(limit)
		debug.SetGCPercent(percent)
		runtime.GOMAXPROCS(processors)
	}()
	debug.SetMemoryLimit(123 << 20)
	runtime.GOMAXPROCS(1)
	tuneRuntime(func(string) string { return "set" })
	assert.Equal(t, int64(123<<20), memoryLimit())
	assert.Equal(t, 1, runtime.GOMAXPROCS(0))
	assert.Equal(t, 100, debug.SetGCPercent(100))

	tuneRuntime(func(string) string { return "" })
	assert.LessOrEqual(t, memoryLimit(), int64(softMemoryBytes))
	assert.NotEqual(t, int64(123<<20), memoryLimit())
	assert.Equal(t, 2, runtime.GOMAXPROCS(0))
	assert.Equal(t, garbagePercent, debug.SetGCPercent(100))
}
