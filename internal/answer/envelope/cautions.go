package envelope

var LicensedTrades = Caution{"licensed_trades", "This is arithmetic, not an approval: what a circuit may carry and " +
	"how it is protected is set by your local code and decided by a licensed electrician. The share of 0.8 is a " +
	"North " +
	"American rule."}

// Cautions that several answers share.
var (
	MainsNearWater = Caution{"mains_near_water", "Mains power beside salt water can kill. Use ground-fault " +
		"protection " +
		"and drip loops, unplug before you reach in, and have a licensed electrician do the wiring as your local " +
		"code " +
		"asks."}
	HotGlass = Caution{"hot_glass", "A heater out of water gets hot enough to burn and to shatter when it is " +
		"wetted. Switch it off and let it cool before you lower the water or take it out."}
	HeavyWater = Caution{"heavy_water", "A litre of sea water weighs about a kilogram. Make sure that floor and " +
		"stand carry the filled tank; ask a structural engineer where you are not sure."}
)
