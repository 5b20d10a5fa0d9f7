package plan

import (
	"fmt"
	"slices"

	"saltwright/internal/calc/text"
)

// contactors refuses a contactor that nothing drives, and one that feeds what is no device.
func (c *checker) contactors() {
	for i, k := range c.p.Contactors {
		at := fmt.Sprintf("contactors[%d]", i)
		onto := func(x Control) bool { return x.Kind != Supervisor && slices.Contains(x.Outputs, k.ID) }
		if !slices.ContainsFunc(c.p.Controls, onto) {
			c.conflict(text.Of("plan_contactor_undriven", text.Params{"id": k.ID}), at+".id", "controls")
		}
		for j, out := range k.Outputs {
			path := fmt.Sprintf("%s.outputs[%d]", at, j)
			if !c.canDrive(Timer, out) {
				c.unknown(out, path, "device")
			} else if slices.Contains(k.Outputs[:j], out) {
				c.conflict(text.Of("plan_output_named_twice", text.Params{"id": out}), path)
			}
		}
	}
}
