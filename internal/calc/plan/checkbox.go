package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saltwright/internal/calc/text"
)

// boxes refuses what a box cannot hold, what two hold, what another circuit feeds, and readers outside of it.
func (c *checker) boxes() {
	holder := map[string]int{}
	circuits := map[string]*string{}
	for _, e := range elementsOf(&c.p) {
		if e.circuit != nil {
			circuits[*e.id] = *e.circuit
		}
	}
	for i, b := range c.p.Boxes {
		for j, id := range b.Holds {
			path := fmt.Sprintf("boxes[%d].holds[%d]", i, j)
			list, _, _ := strings.Cut(c.ids[id], "[")
			held, taken := holder[id]
			own, feeds := circuits[id], cmp.Or(b.Supply, b.Circuit)
			switch {
			case !slices.Contains([]string{"controls", "alarms", "sensors"}, list):
				c.unknown(id, path, "held")
				continue
			case taken:
				c.conflict(text.Of("plan_held_twice", text.Params{"id": id}), path,
					fmt.Sprintf("boxes[%d].holds", held))
			case list != "sensors" && own != nil && (feeds == nil || *feeds != *own):
				c.conflict(text.Of("plan_box_feeds", text.Params{"id": id}), c.ids[id]+".circuit",
					fmt.Sprintf("boxes[%d].circuit", i))
			}
			holder[id] = i
		}
	}
	read := func(reader, path string, sensors []string) {
		for _, id := range sensors {
			box, held := holder[id]
			if mine, same := holder[reader]; held && (!same || mine != box) {
				c.conflict(text.Of("plan_sensor_of_other_box", text.Params{"id": id, "box": c.p.Boxes[box].ID}),
					path+".sensor", fmt.Sprintf("boxes[%d].holds", box))
			}
		}
	}
	for i, k := range c.p.Controls {
		read(k.ID, fmt.Sprintf("controls[%d]", i), k.Reads())
	}
	for i, a := range c.p.Alarms {
		read(a.ID, fmt.Sprintf("alarms[%d]", i), a.Reads())
	}
}
