package plan

// Reads returns the ids of the sensors that a control reads.
//
// Errors: none. Source: [Derived].
func (k Control) Reads() []string {
	if k.Sensor != nil {
		return []string{*k.Sensor}
	}
	return k.Sensors
}

// Reads returns the ids of the sensors that an alarm reads; none where it watches what runs.
//
// Errors: none. Source: [Derived].
func (a Alarm) Reads() []string {
	if a.Sensor != "" {
		return []string{a.Sensor}
	}
	return a.Sensors
}
