package transport

import (
	"syscall"
	"time"
)

// threadTime is the processor time of the thread that asks.
func threadTime() time.Duration {
	const thisThread = 1 // RUSAGE_THREAD, getrusage(2)
	var u syscall.Rusage
	if err := syscall.Getrusage(thisThread, &u); err != nil {
		panic(err) // only for another argument
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
