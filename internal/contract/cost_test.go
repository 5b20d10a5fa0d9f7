package contract

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// priced is an operation whose cost has every kind of size.
const priced = `{"openapi": "3.0.3", "info": {"title": "t", "version": "1"}, "paths": {"/v1/thing": {"post": {
	"operationId": "postThing", "x-cost": 2, "x-cost-plus": [
		{"units": 0.1, "times": [{"list": "#/parts"}, {"value": ["#/stay/long_h", "#/stay/short_h"], "most": 100}]},
		{"units": 0.5, "times": [{"items": "#"}]},
		{"units": 0.01, "times": [{"parameter": "runs"}]}],
	"parameters": [{"name": "runs", "in": "query",
		"schema": {"type": "integer", "minimum": 0, "maximum": 1000, "default": 0}}],
	"requestBody": {"content": {"application/json": {"schema": {
		"type": "object", "additionalProperties": false, "properties": {
			"parts": {"type": "array", "maxItems": 4, "items": {"type": "number"}},
			"more": {"type": "array", "maxItems": 6, "items": {"type": "number"}},
			"stay": {"type": "object", "additionalProperties": false, "properties": {
				"long_h": {"type": "number", "maximum": 900},
				"short_h": {"type": "number", "maximum": 24, "default": 12}}}}}}}},
	"responses": {"200": {"description": "ok"}}}}}}`

func TestTheCostOfARequestFollowsFromItsSize(t *testing.T) {
	c, err := Parse([]byte(priced))
	require.NoError(t, err)
	o := c.Operation("postThing")
	for _, test := range []struct {
		name, body, query string
		cost              int
	}{
		{"nothing", `{}`, "", 2},
		{"two parts, the default of the stay", `{"parts":[1,2]}`, "", 2 + 3 + 1}, // 0.1 x 2 x 12 = 2.4 and 0.5 x 2
		{"the stay that was sent", `{"parts":[1],"stay":{"short_h":20}}`, "", 2 + 2 + 1},
		{"the first of two", `{"parts":[1],"stay":{"short_h":20,"long_h":30}}`, "", 2 + 3 + 1},
		{"above the most", `{"parts":[1],"stay":{"long_h":900}}`, "", 2 + 10 + 1},
		{"items of all lists", `{"more":[1,2,3,4]}`, "", 2 + 2},
		{"runs", `{}`, "runs=1000", 2 + 10},
		{"rounded up", `{}`, "runs=1", 3},
	} {
		t.Run(test.name, func(t *testing.T) {
			r, err := o.Read([]byte(test.body), test.query)
			require.NoError(t, err)
			assert.Equal(t, test.cost, r.Cost())
		})
	}
	assert.Equal(t, 2+4*10+5+10, o.DearestCost())
	assert.Equal(t, 1, (&Operation{Price: Price{Least: 1}}).DearestCost())
}
