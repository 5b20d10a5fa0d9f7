package plan

// checkSaid refuses what the plan says about itself: references, loops and
// geometry that cannot be built.
func checkSaid(p Plan) error {
	c := newChecker(p)
	c.duplicates()
	c.livestock()
	c.vessels()
	c.room()
	c.oxygen()
	c.devices()
	c.sensors()
	c.controls()
	c.loops()
	c.contactors()
	c.boxes()
	c.alarms()
	c.circuits()
	c.supply()
	c.starts()
	c.plumbing()
	c.roomDevices()
	c.leaks()
	c.skimmers()
	c.hours()
	c.chemistry()
	c.attendance()
	c.paths()
	c.persons()
	c.worth()
	return c.found()
}

// checkCompleted refuses what only shows once the assumed values are in.
func checkCompleted(p Plan) error {
	c := newChecker(p)
	c.limits()
	c.setpoints()
	c.heights()
	c.heaterHeights()
	c.chemicalLimits()
	return c.found()
}
