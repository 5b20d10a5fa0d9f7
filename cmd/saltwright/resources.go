package main

import (
	"runtime"
	"runtime/debug"

	"github.com/KimMachineGun/automemlimit/memlimit"
)

// The live heap is some 10 MB, mostly the contract, and walking it for every
// 10 MB of garbage took a quarter of the processor's time under load (130 us a
// request before, 95 after, in one pair of runs of deploy/bench). So garbage may
// grow to eight times that, within a soft limit for the plans that need more.
const (
	garbagePercent  = 800
	softMemoryBytes = 512 << 20 // where nothing limits the process
	softMemoryShare = 0.85      // of the container's limit; the rest is for stacks, buffers and what is not yet swept
)

// What the process needs besides, its start included, and what one long calculation adds at its peak with its garbage.
// With every place busy with the largest plans (go run ./deploy/bench/prices --memory-of) it took 172 MiB at most with
// one place, 217 with two, 264 with four and 352 with eight: 146 and 26 a place, some 30 of it pages of the program,
// which the kernel takes back when it has to.
const (
	idleMemoryBytes  = 112 << 20
	placeMemoryBytes = 32 << 20
)

// tuneRuntime sets the garbage collector and the number of processors unless the operator did. Go itself takes the
// number from the container's limit, and no less than two of them; with one alone a request that asks for little would
// wait for a long calculation's time slice to end, so Go gets two threads there too and the kernel divides the
// processor between them.
func tuneRuntime(getenv func(string) string) {
	if getenv("GOGC") == "" {
		debug.SetGCPercent(garbagePercent)
	}
	if getenv("GOMEMLIMIT") == "" {
		soft := int64(softMemoryBytes)
		if hard, err := memlimit.FromCgroup(); err == nil { // an error says that there is none
			soft = int64(softMemoryShare * float64(hard))
		}
		debug.SetMemoryLimit(min(soft, softMemoryBytes))
	}
	if getenv("GOMAXPROCS") == "" && runtime.GOMAXPROCS(0) == 1 {
		runtime.GOMAXPROCS(2)
	}
}

// placesFor is how many long calculations may run at once: as many as the memory has room for, and one less than there
// are processors, which is kept for requests that ask for little.
func placesFor(processors int, memoryBytes int64) int {
	byMemory := (memoryBytes - idleMemoryBytes) / placeMemoryBytes
	return max(1, min(processors-1, int(min(byMemory, 1<<16))))
}

// places is placesFor this process.
func places() int { return placesFor(runtime.GOMAXPROCS(0), memoryLimit()) }

// memoryLimit is the soft limit that the garbage collector keeps to.
func memoryLimit() int64 {
	const look = -1
	return debug.SetMemoryLimit(look)
}
