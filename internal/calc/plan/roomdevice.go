package plan

import (
	"fmt"
	"slices"

	"saltwright/internal/calc/text"
)

// RoomDevice heats or cools the room. With several of a kind the room only changes when all of them have stopped.
type RoomDevice struct {
	ID            string
	Kind          RoomDeviceKind
	PowerW        float64  // for what it hangs on; the energy is not the tank's
	WithoutC      float64  // what the room comes to without it, where that is colder (heating) or warmer (cooling)
	StuckOnC      *float64 // what it comes to when it never stops; nil: it cannot
	TimeConstantH *float64 // in which the room goes 63 % of the way
	Circuit       *string
	Supply        *string
}

// RoomDeviceKind is what a device does to the room.
type RoomDeviceKind string

// The kinds of room device.
const (
	RoomHeating RoomDeviceKind = "heating"
	RoomCooling RoomDeviceKind = "cooling"
)

// InRoom is where a probe reads the air.
const InRoom Place = "room"

const roomTimeConstantH = 12.0 // a heavy house takes longer, a light one less; common practice, no source

func roomElements(all []element, p *Plan) []element {
	return listed(all, "room_devices", p.RoomDevices,
		func(e *RoomDevice) (*string, **string) { return &e.ID, &e.Circuit })
}

func (c *checker) roomDevices() {
	for i, x := range c.p.RoomDevices {
		at := fmt.Sprintf("room_devices[%d]", i)
		usual := c.p.Room.Usual.TempC
		if x.StuckOnC != nil && (*x.StuckOnC-usual)*(usual-x.WithoutC) <= 0 {
			c.conflict(text.Of("plan_room_stuck_wrong_way", nil), at+".stuck_on_c", at+".without_c")
		}
	}
	for i, s := range c.p.Sensors {
		if s.Place == nil || *s.Place != InRoom {
			continue
		}
		at := fmt.Sprintf("sensors[%d]", i)
		if s.Kind != TemperatureKind {
			c.conflict(text.Of("plan_only_temperature_in_room", nil), at+".kind", at+".place")
		}
		for k, x := range c.p.Controls {
			if x.Kind != Supervisor && x.Sensor != nil && *x.Sensor == s.ID {
				c.conflict(text.Of("plan_control_reads_the_room", nil), fmt.Sprintf("controls[%d].sensor", k),
					at+".place")
			}
		}
	}
}

func (c *completion) roomDevices() {
	for i := range c.p.RoomDevices {
		assume(c, &c.p.RoomDevices[i].TimeConstantH, roomTimeConstantH,
			fmt.Sprintf("room_devices[%d].time_constant_h", i), "h", WhyCommonPractice,
			text.Of("assumed_plan_room_time", nil))
	}
}

// HeatsRoom tells whether a plan names what heats its room.
//
// Errors: none. Source: [Derived].
func (p Plan) HeatsRoom() bool {
	return slices.ContainsFunc(p.RoomDevices, func(x RoomDevice) bool { return x.Kind == RoomHeating })
}
