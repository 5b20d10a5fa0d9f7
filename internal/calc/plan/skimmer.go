package plan

import "fmt"

func (c *checker) skimmers() {
	for i, x := range c.p.Skimmers {
		c.place(x.Place, fmt.Sprintf("skimmers[%d]", i))
	}
}
