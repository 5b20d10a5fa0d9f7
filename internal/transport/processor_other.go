//go:build !linux

package transport

import "time"

var begin = time.Now()

// threadTime is the time of day, where a thread's processor time is not to be had: no less than that.
func threadTime() time.Duration { return time.Since(begin) }
