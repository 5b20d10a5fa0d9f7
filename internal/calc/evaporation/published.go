package evaporation

import "saltwright/internal/calc"

// Published lists the ranges that the measurements behind the estimate cover: water from the coldest that Shah compared
// with to the warmest of undisturbed pools in the handbook, air and humidity as Shah's, air speed as the fastest wind
// over the pool of Smith, Löf and Jones.
var Published = []calc.Published{
	{
		Relation: "evaporation.Estimate", Of: "evaporation",
		Quantity: "water_c", Unit: "degC", Low: 7, High: 35, Source: "Shah2014",
	},
	{
		Relation: "evaporation.Estimate", Of: "evaporation",
		Quantity: "room_c", Unit: "degC", Low: 6, High: 35, Source: "Shah2014",
	},
	{
		Relation: "evaporation.Estimate", Of: "evaporation",
		Quantity: "rh_percent", Unit: "%", Low: 28, High: 98, Source: "Shah2014",
	},
	{
		Relation: "evaporation.Estimate", Of: "evaporation",
		Quantity: "air_speed_m_s", Unit: "m/s", Low: 0, High: 2.2, Source: "SmithLofJones1994",
	},
}
