package plan

import "slices"

// driven returns whether a control that regulates or times drives the device, by itself or through a contactor.
func (p *Plan) driven(id string) bool {
	for _, k := range p.Controls {
		if k.Kind != Supervisor && slices.Contains(k.Outputs, id) {
			return true
		}
	}
	return slices.ContainsFunc(p.Contactors, func(k Contactor) bool { return slices.Contains(k.Outputs, id) })
}
