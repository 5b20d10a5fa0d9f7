package sim

// WatchKind says what of running raises an alarm.
type WatchKind uint8

// The kinds of watch.
const (
	RunsLong    WatchKind = iota // longer than Seconds without a break
	StartsOften                  // more than Starts times within Seconds
	StandsStill                  // not at all for Seconds
)

// Watch is an alarm's eye on a device that runs, or on a control that calls. What went before the run does not count.
type Watch struct {
	Kind    WatchKind
	Device  int // -1: a control
	Control int // -1: a device
	Seconds float64
	Starts  int
}
