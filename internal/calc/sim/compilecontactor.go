package sim

// contactors follow the plan's own controls, in whose outputs they stand.
func (c *compiler) contactors() {
	for _, k := range c.p.Contactors {
		c.s.Controls = append(c.s.Controls, Control{ID: k.ID, Kind: Contactor, Circuit: c.circ[*k.Circuit]})
		c.relays(len(c.s.Controls)-1, k.Outputs)
	}
}

// relays adds the outputs of a control.
func (c *compiler) relays(control int, outputs []string) {
	for _, out := range outputs {
		relay := Relay{Control: control, Device: -1, Target: -1}
		if device, ok := c.device[out]; ok {
			relay.Device = device
		} else {
			relay.Target = c.ctl[out]
		}
		c.s.Relays = append(c.s.Relays, relay)
	}
}
