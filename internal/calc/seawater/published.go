package seawater

import "saltwright/internal/calc"

// Published lists the ranges that the sources of this package's relations give.
var Published = []calc.Published{
	{
		Relation: "seawater.PracticalFromConductivity", Of: "practical salinity (PSS-78)",
		Quantity: "salinity_psu", Unit: "1", Low: publishedLowSP, High: publishedHighSP, Source: "UNESCO44",
	},
	{
		Relation: "seawater.PracticalFromConductivity", Of: "practical salinity (PSS-78)",
		Quantity: "water_c", Unit: "degC", Low: -2, High: publishedHighC, Source: "UNESCO44",
	},
	{
		Relation: "seawater.Density", Of: "the density of sea water (EOS-80)",
		Quantity: "salinity_psu", Unit: "1", Low: 0, High: 42, Source: "MilleroPoisson1981",
	},
	{
		Relation: "seawater.Density", Of: "the density of sea water (EOS-80)",
		Quantity: "water_c", Unit: "degC", Low: -2, High: 40, Source: "MilleroPoisson1981",
	},
	{
		Relation: "seawater.HeatCapacity", Of: "the specific heat of sea water",
		Quantity: "salinity_psu", Unit: "1", Low: 0, High: 40, Source: "Millero1973",
	},
	{
		Relation: "seawater.HeatCapacity", Of: "the specific heat of sea water",
		Quantity: "water_c", Unit: "degC", Low: 0, High: 35, Source: "Millero1973",
	},
	{
		Relation: "seawater.RefractiveIndexMillardSeaver1990", Of: "the refractive index of sea water",
		Quantity: "salinity_psu", Unit: "1", Low: 0, High: 43, Source: "MillardSeaver1990",
	},
	{
		Relation: "seawater.RefractiveIndexMillardSeaver1990", Of: "the refractive index of sea water",
		Quantity: "water_c", Unit: "degC", Low: 0, High: 30, Source: "MillardSeaver1990",
	},
	{
		Relation: "seawater.OxygenSaturationMolal", Of: "the saturation with oxygen",
		Quantity: "salinity_psu", Unit: "1", Low: 0, High: 42, Source: "GarciaGordon1992",
	},
	{
		Relation: "seawater.OxygenSaturationMolal", Of: "the saturation with oxygen",
		Quantity: "water_c", Unit: "degC", Low: 0, High: 40, Source: "GarciaGordon1992",
	},
}
