package plan

// Router is a home network, with the line that it uses. Alarms by the path network go over all routers of a plan.
type Router struct {
	ID             string
	BatteryH       float64  // how long it works without its supply
	OutagesPerYear *float64 // of its line; nil: as often as home networks usually have them
	OutageH        *float64 // how long one lasts on the average; nil: as usual
	Circuit        *string
	Supply         *string
}

// Modem sends alarms over the mobile network, for all that name it.
type Modem struct {
	ID       string
	BatteryH float64
	Circuit  *string
	Supply   *string
}

// Siren is heard in the house.
type Siren struct {
	ID       string
	BatteryH float64
	Circuit  *string
	Supply   *string
}

// Person is somebody whom alarms reach. In a completed plan nothing is left out but the hours of the day.
type Person struct {
	ID                        string
	ReachedBy                 []string // ids of ways, or alarm paths; none: whatever leaves the house
	AnsweredShare             *float64 // of the alarms that reach them
	ActsWithinH               *float64 // from the alarm to hands on the tank
	AnswerDelayH              *float64 // mean time by which it takes longer
	AnswersFrom, AnswersUntil *ClockTime
}

// Call is the first alarm that comes to a person.
type Call struct {
	Person int     // of those whom alarms reach
	Alarm  string  // id
	AtH    float64 // when it comes, h
	Ways   string  // all ways by which alarms come to them: who shares them all may miss an alarm together
}
