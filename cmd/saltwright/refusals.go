package main

import (
	"fmt"
)

// refuse returns what no operator can mean: settings that would turn a protection off in silence.
func (s settings) refuse() error {
	switch {
	case s.perMinute < 0:
		return fmt.Errorf("per-minute %d: want 1 or more, or 0 for no limits", s.perMinute)
	case s.perMinute > 0 && s.perDay < s.perMinute:
		return fmt.Errorf("per-day %d: want no less than per-minute, %d", s.perDay, s.perMinute)
	case s.drainDelay < 0:
		return fmt.Errorf("drain-delay %v: want 0 or more", s.drainDelay)
	case s.shutdownTimeout <= 0:
		return fmt.Errorf("shutdown-timeout %v: want more than 0, or nobody's last request is answered",
			s.shutdownTimeout)
	}
	return nil
}

// warnings are settings that an operator may mean and should know of.
func (s settings) warnings() []string {
	var out []string
	if s.perMinute == 0 {
		out = append(out, "per-minute is 0: clients without a key have no limits")
	}
	if s.limitStoreURL != "" && s.secretFile == "" {
		out = append(out, "the limit store has no address-secret-file: "+
			"whoever reads the store, or a refusal in the log, can find a client's address by trying them all")
	}
	return out
}
