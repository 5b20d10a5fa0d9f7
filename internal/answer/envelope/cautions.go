package envelope

// Cautions, each by what hurts.
var (
	LicensedTrades    = caution("licensed_trades")
	MainsNearWater    = caution("mains_near_water")
	HotGlass          = caution("hot_glass")
	HeavyWater        = caution("heavy_water")
	FreshMix          = caution("fresh_mix") // wherever dry salt meets water
	GeneratorOutdoors = caution("generator_outdoors")
	CausticPowders    = caution("caustic_powders")
	CarbonDioxide     = caution("carbon_dioxide_in_rooms")
	TwoStocks         = caution("two_stock_solutions")
	WarmBottles       = caution("warm_bottles")
	HotSump           = caution("hot_sump")
)
