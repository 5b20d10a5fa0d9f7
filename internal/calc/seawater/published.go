package seawater

import "saltwright/internal/calc"

// Published lists the ranges that the sources of this package's relations give.
var Published = []calc.Published{
	{
		Relation: "seawater.PracticalFromConductivity", Of: "practical_salinity",
		Quantity: "salinity_psu", Unit: "1", Low: publishedLowSP, High: publishedHighSP, Source: "UNESCO44",
	},
	{
		Relation: "seawater.PracticalFromConductivity", Of: "practical_salinity",
		Quantity: "water_c", Unit: "degC", Low: -2, High: publishedHighC, Source: "UNESCO44",
	},
	{
		Relation: "seawater.Density", Of: "density",
		Quantity: "salinity_psu", Unit: "1", Low: 0, High: 42, Source: "MilleroPoisson1981",
	},
	{
		Relation: "seawater.Density", Of: "density",
		Quantity: "water_c", Unit: "degC", Low: -2, High: 40, Source: "MilleroPoisson1981",
	},
	{
		Relation: "seawater.HeatCapacity", Of: "specific_heat",
		Quantity: "salinity_psu", Unit: "1", Low: 0, High: 40, Source: "Millero1973",
	},
	{
		Relation: "seawater.HeatCapacity", Of: "specific_heat",
		Quantity: "water_c", Unit: "degC", Low: 0, High: 35, Source: "Millero1973",
	},
	{
		Relation: "seawater.RefractiveIndexMillardSeaver1990", Of: "refractive_index",
		Quantity: "salinity_psu", Unit: "1", Low: 0, High: 43, Source: "MillardSeaver1990",
	},
	{
		Relation: "seawater.RefractiveIndexMillardSeaver1990", Of: "refractive_index",
		Quantity: "water_c", Unit: "degC", Low: 0, High: 30, Source: "MillardSeaver1990",
	},
	{
		Relation: "seawater.OxygenSaturationMolal", Of: "oxygen_saturation",
		Quantity: "salinity_psu", Unit: "1", Low: 0, High: 42, Source: "GarciaGordon1992",
	},
	{
		Relation: "seawater.OxygenSaturationMolal", Of: "oxygen_saturation",
		Quantity: "water_c", Unit: "degC", Low: 0, High: 40, Source: "GarciaGordon1992",
	},
}
