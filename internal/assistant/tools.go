package assistant

// tool is one calculation as a tool of an assistant.
type tool struct {
	name        string
	operation   string   // of the contract: heater-sizing
	description string   // when to use it, and what comes back
	members     []string // of the request that it offers besides the required ones; the rest keeps its assumptions
	whole       string   // its only argument, which is the whole request; empty: the members are the arguments
	detail      string   // of the answer, where the operation knows that
	keeps       string   // member of the result that comes back whole; empty: none
}

// tank is what calculations of heat ask of a tank besides its measures.
var tank = []string{"coldest_c", "warmest_c", "lid", "rh_percent", "pumps_w", "lights_w", "lights_hours_per_day",
	"sump_length_mm", "sump_width_mm", "sump_depth_mm"}

// tools are the calculations that people ask an assistant for. Fewer and shorter is better: all of them stand in the
// assistant's memory for as long as it talks.
var tools = []tool{
	{
		name: "size_heater", operation: "heater-sizing",
		members: append([]string{"setpoint_c", "harm_low_c", "harm_high_c"}, tank...),
		description: "How many watts of heating a saltwater tank needs, and into how many heaters to split them " +
			"so that one stuck on does not cook it. Ask for the coldest the room gets.",
	},
	{
		name: "size_chiller", operation: "chiller-sizing", members: append([]string{"setpoint_c"}, tank...),
		description: "How much cooling a saltwater tank needs in its warmest room.",
	},
	{
		name: "plan_top_off", operation: "top-off-endurance",
		members: []string{"lid", "sump_surface_m2", "water_c", "measured_l_d", "sump_free_l", "siphon_break",
			"run_limit_min"},
		description: "How many days a reservoir of fresh water lasts, and what a top-off pump stuck on or a float " +
			"stuck does to salinity and floor.",
	},
	{
		name: "survive_outage", operation: "outage-endurance",
		members: append([]string{"duration_h", "fish_g", "battery_wh", "battery_load_w"}, tank...),
		description: "How long a tank holds without power: oxygen first, then temperature. In an emergency, first " +
			"say: stir the surface, by hand or a battery air pump.",
	},
	{
		name: "convert_salinity", operation: "salinity-conversion", members: []string{"sample_c", "sg_pair"},
		description: "What a reading of a hydrometer, refractometer or conductivity meter is in practical " +
			"salinity.",
	},
	{
		name: "adjust_salinity", operation: "salinity-adjustment",
		members: []string{"to_psu", "new_water_psu", "changes", "days_between", "evaporation_l_d"},
		description: "Brings the salinity of a stocked tank from one value to another: how much water to change, " +
			"in how many steps. Not for mixing fresh salt water: that is mix_salt.",
	},
	{
		name: "mix_salt", operation: "salt-mix", members: []string{"target_psu", "start_psu", "water_c"},
		description: "How much dry salt makes so much salt water.",
	},
	{
		name: "dose", operation: "dose",
		members: []string{"alkalinity", "alkalinity_unit", "calcium_mg_l", "magnesium_mg_l", "ph", "substance",
			"stock_g_l", "most_a_day", "doses_a_day"},
		description: "How much salt or solution raises alkalinity, calcium or magnesium, how fast, and what pH " +
			"does.",
	},
	{
		name: "evaporation", operation: "evaporation",
		members:     []string{"water_c", "lid", "rh_percent", "air_speed_m_s"},
		description: "How much water a tank evaporates a day.",
	},
	{
		name: "draft_plan", operation: "plan-draft", keeps: "plan",
		members: []string{"livestock", "with_sump", "lights_w", "look_every_h"},
		description: "Designs heating, cooling, top-off, light, controls and alarms for a tank so that no single " +
			"failure loses it. Returns a plan that audit_plan takes.",
	},
	{
		name: "audit_plan", operation: "plan-audit", whole: "plan", detail: "brief",
		description: "Injects every single failure into a simulation of a planned tank and tells which ones it " +
			"does not survive. Take a plan from draft_plan and change what differs.",
	},
	{
		name: "mend_plan", operation: "plan-remedies", whole: "plan",
		description: "Finds changes to a plan that help, tries each in the simulation, and says what it brings.",
	},
}
