package plan

import (
	"fmt"
	"slices"

	"saltwright/internal/calc/text"
)

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

// HeatsRoom tells whether a plan names what heats its room.
//
// Errors: none. Source: [Derived].
func (p Plan) HeatsRoom() bool {
	return slices.ContainsFunc(p.RoomDevices, func(x RoomDevice) bool { return x.Kind == RoomHeating })
}
