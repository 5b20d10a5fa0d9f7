package bot

import (
	"slices"
	"strings"

	"saltwright/clients/reading"
)

// Slot is one member of a request that a question may state.
type Slot struct {
	Member       string   // as the contract names it
	Name         string   // as a person reads it
	Labels       []string // words beside a number that name it; the bot itself writes the first
	Dimension    reading.Dimension
	Required     bool
	NeedsNoLabel bool // a number of this dimension without a label belongs here
	Likely       bool // not required, and people often state it
}

// Box is a group of lengths such as 48x24x20 in.
type Box struct {
	Name      string
	Labels    []string // none: a group without a label belongs here
	Members   []string
	Edges     []string // the name of each
	Required  bool
	ExtraEdge bool // one more edge may be stated, which is not used
}

// Topic is one kind of question and the operation that answers it.
type Topic struct {
	Command      string   // as the bot writes it
	Words        []string // whole words that name it
	Operation    string   // operationId of the contract
	About        string
	Boxes        []Box
	Slots        []Slot
	Lid          bool     // a question may say that the lid is open, screen or closed
	AssumedFirst []string // members whose assumed values are listed first
}

var tankBox = Box{
	Name: "inside length x width x depth of the water", Members: []string{"length_mm", "width_mm", "water_depth_mm"},
	Edges: []string{"length", "width", "water depth"}, Required: true,
}

var sumpBox = Box{
	Name: "length x width x depth of the water in the sump", Labels: []string{"sump"},
	Members: []string{"sump_length_mm", "sump_width_mm", "sump_depth_mm"},
	Edges:   []string{"sump length", "sump width", "sump depth"},
}

var surfaceBox = Box{
	Name: "length x width of the water's surface", Members: []string{"length_mm", "width_mm"},
	Edges: []string{"length", "width"}, Required: true, ExtraEdge: true,
}

func roomSlots() []Slot {
	return []Slot{
		{
			Member: "coldest_c", Name: "coldest temperature of the room", Labels: []string{"coldest", "winter"},
			Dimension: reading.Temperature,
		},
		{
			Member: "warmest_c", Name: "warmest temperature of the room",
			Labels: []string{"warmest", "hottest", "summer"}, Dimension: reading.Temperature,
		},
		{
			Member: "room_c", Name: "usual temperature of the room",
			Labels: []string{"room", "ambient", "air", "house"}, Dimension: reading.Temperature, Required: true,
		},
	}
}

var (
	humiditySlot = Slot{
		Member: "rh_percent", Name: "relative humidity of the room", Labels: []string{"humidity", "rh"},
		Dimension: reading.Percent,
	}
	salinitySlot = Slot{
		Member: "salinity_psu", Name: "salinity", Labels: []string{"salinity"}, Dimension: reading.Practical,
		NeedsNoLabel: true,
	}
	pumpsSlot = Slot{
		Member: "pumps_w", Name: "power of the pumps in the water", Labels: []string{"pumps", "pump"},
		Dimension: reading.Power,
	}
	lightsSlot = Slot{
		Member: "lights_w", Name: "power of the lights", Labels: []string{"lights", "light"}, Dimension: reading.Power,
	}
	marginSlot = Slot{Member: "margin_percent", Name: "margin", Labels: []string{"margin"}, Dimension: reading.Percent}
)

func waterSlot(member, name string) Slot {
	return Slot{
		Member: member, Name: name,
		Labels:    []string{"keep", "hold", "water", "tank", "set", "setpoint", "set-point", "target", "maintain"},
		Dimension: reading.Temperature, Likely: true,
	}
}

func sizingSlots() []Slot {
	hold := waterSlot("setpoint_c", "temperature to hold")
	return append(roomSlots(), hold, humiditySlot, salinitySlot, pumpsSlot, lightsSlot, marginSlot)
}

// topics lists everything that this bot answers.
var topics = []*Topic{
	{
		Command: "heaters", Words: []string{"heaters", "heater", "heating"}, Operation: "postHeaterSizing",
		About: "how much heating a tank needs, and in how many heaters", Boxes: []Box{tankBox, sumpBox}, Lid: true,
		Slots:        sizingSlots(),
		AssumedFirst: []string{"setpoint_c", "coldest_c", "warmest_c", "lid", "margin_percent", "rh_percent"},
	},
	{
		Command: "chiller", Words: []string{"chiller", "chillers", "cooling", "cooler"}, Operation: "postChillerSizing",
		About: "how much cooling a tank needs", Boxes: []Box{tankBox, sumpBox}, Lid: true,
		Slots:        sizingSlots(),
		AssumedFirst: []string{"setpoint_c", "warmest_c", "pumps_w", "lights_w", "lid", "rh_percent"},
	},
	{
		Command: "evaporation", Words: []string{"evaporation", "evaporate", "evaporates", "evaporating"},
		Operation: "postEvaporation",
		About:     "how much water a day evaporates", Boxes: []Box{surfaceBox}, Lid: true,
		Slots: []Slot{
			{
				Member: "room_c", Name: "temperature of the room", Labels: []string{"room", "ambient", "air", "house"},
				Dimension: reading.Temperature, Required: true,
			},
			waterSlot("water_c", "temperature of the water"), humiditySlot, salinitySlot,
		},
		AssumedFirst: []string{"water_c", "lid", "rh_percent", "air_speed_m_s"},
	},
	{
		Command: "top-off",
		Words: []string{
			"top-off", "topoff", "top off", "top-up", "topup", "top up", "ato", "reservoir", "vacation", "holiday",
		},
		Operation: "postTopOffEndurance",
		About:     "how long a top-off reservoir lasts, and what its pump may do", Lid: true,
		Boxes: []Box{
			{
				Name: "length x width of the return chamber of the sump", Labels: []string{"chamber", "return", "sump"},
				Members: []string{"return_chamber_length_mm", "return_chamber_width_mm"},
				Edges:   []string{"chamber length", "chamber width"}, Required: true, ExtraEdge: true,
			},
			{
				Name:    "length x width of the display's surface",
				Members: []string{"surface_length_mm", "surface_width_mm"},
				Edges:   []string{"length", "width"}, Required: true, ExtraEdge: true,
			},
		},
		Slots: append([]Slot{
			{
				Member: "reservoir_l", Name: "size of the reservoir",
				Labels: []string{"reservoir", "container", "bucket", "can"}, Dimension: reading.Volume, Required: true,
			},
			{
				Member: "volume_l", Name: "all water of the system",
				Labels:    []string{"system", "total", "tank", "water", "display"},
				Dimension: reading.Volume, Required: true,
			},
			{
				Member: "pump_l_h", Name: "flow of the top-off pump", Labels: []string{"pump", "flow"},
				Dimension: reading.Flow,
				Required:  true, NeedsNoLabel: true,
			},
			{
				Member: "days_away", Name: "days nobody is there", Labels: []string{"away", "for", "gone"},
				Dimension: reading.Days, Required: true, NeedsNoLabel: true,
			},
			waterSlot("water_c", "temperature of the water"), humiditySlot, salinitySlot,
		}, roomSlots()...),
		AssumedFirst: []string{"water_c", "reserve_percent", "sump_free_l", "run_limit_min", "siphon_break", "lid"},
	},
	{
		Command: "salinity",
		Words: []string{
			"salinity", "convert", "conversion", "sg", "specific gravity", "ppt", "psu", "ms/cm", "conductivity",
			"hydrometer", "refractometer",
		},
		Operation: "postSalinityConversion",
		About:     "one salinity reading in every scale",
		Slots: append(scaleSlots(),
			Slot{
				Member: "sample_c", Name: "temperature of the sample", Labels: []string{"at", "sample", "water"},
				Dimension: reading.Temperature, NeedsNoLabel: true,
			}),
		AssumedFirst: []string{"sample_c", "sg_pair"},
	},
	{
		Command: "salt mix", Words: []string{"salt mix", "mix", "saltmix", "salt"}, Operation: "postSaltMix",
		About: "how much salt makes a volume of salt water",
		Slots: []Slot{
			{
				Member: "volume_l", Name: "volume of the finished salt water",
				Labels: []string{"for", "volume", "make"}, Dimension: reading.Volume,
				Required: true, NeedsNoLabel: true,
			},
			{
				Member: "target_psu", Name: "salinity wanted", Labels: []string{"to", "target", "at", "salinity"},
				Dimension: reading.Practical, NeedsNoLabel: true,
			},
			{
				Member: "yield_g_l", Name: "what the label says makes a litre", Labels: []string{"label", "yield"},
				Dimension: reading.Concentration, NeedsNoLabel: true,
			},
			{
				Member: "water_c", Name: "temperature of the water", Labels: []string{"water", "temperature"},
				Dimension: reading.Temperature, NeedsNoLabel: true,
			},
		},
		AssumedFirst: []string{"target_psu", "yield_g_l", "volume_is", "start_psu", "water_c"},
	},
	{
		Command: "salinity change", Operation: changeOperation,
		About: "how to move a system from one salinity to another, and how fast",
		Slots: append([]Slot{{
			Member: "volume_l", Name: "all water of the system", Labels: []string{"volume", "system", "tank", "total"},
			Dimension: reading.Volume, Required: true, NeedsNoLabel: true,
		}}, changeSlots()...),
		AssumedFirst: []string{"to_psu", "new_water_psu", "pace_psu_d", "largest_change_percent", "days_between"},
	},
}

const changeOperation = "postSalinityAdjustment"

// changeSlots are the two ends of a change, each as practical salinity or as specific gravity, which the service
// converts before it is asked.
func changeSlots() []Slot {
	var out []Slot
	for _, d := range []reading.Dimension{reading.Practical, reading.SpecificGravity} {
		out = append(out,
			Slot{
				Member: "from_psu", Name: "salinity now", Dimension: d, Required: true,
				Labels: []string{"from", "now", "current", "currently", "low", "high", "out", "measures", "reads",
					"is"},
			},
			Slot{
				Member: "to_psu", Name: "salinity wanted", Dimension: d,
				Labels: []string{"to", "target", "want", "wanted", "goal", "need"},
			})
	}
	return out
}

// changes are the words of a question that moves a salinity. What changes is never a fresh mix.
var changes = []string{
	"raise", "raising", "lower", "lowering", "increase", "decrease", "change", "changes", "changing", "came out",
	"bring up", "bring down", "drop", "adjust", "correct", "too salty", "too low", "too high",
}

// scaleMember is the member that names the scale of a reading; its value follows from the unit.
const (
	scaleMember = "scale"
	valueMember = "value"
)

// uncorrected is the scale of a hydrometer that floats in the sample at its own temperature.
const uncorrected = "specific_gravity_uncorrected"

// scales holds the contract's name for the scale that a unit implies.
var scales = map[reading.Dimension]string{
	reading.SpecificGravity: "specific_gravity",
	reading.Practical:       "practical_psu", // ppt for practical salinity: common practice, no source
	reading.Absolute:        "absolute_g_kg",
	reading.Concentration:   "grams_per_litre",
	reading.Conductivity:    "conductivity_ms_cm",
}

func scaleSlots() []Slot {
	var out []Slot
	for _, d := range []reading.Dimension{
		reading.SpecificGravity, reading.Practical, reading.Absolute, reading.Concentration, reading.Conductivity,
	} {
		out = append(out, Slot{
			Member: valueMember, Name: "reading with its unit (SG, ppt, g/kg, g/L or mS/cm)",
			Labels: []string{"reading", "salinity"}, Dimension: d, Required: true, NeedsNoLabel: true,
		})
	}
	return out
}

// slot returns the topic's slot of a member, or nothing.
func (t *Topic) slot(member string) *Slot {
	for i := range t.Slots {
		if t.Slots[i].Member == member {
			return &t.Slots[i]
		}
	}
	return nil
}

// topicList names the topics in one line.
func topicList() string {
	var names []string
	for _, t := range topics {
		names = append(names, t.Command)
	}
	return strings.Join(names, ", ")
}

// NamesTopic reports whether a word names a topic.
func NamesTopic(word string) bool {
	return slices.ContainsFunc(topics, func(t *Topic) bool { return slices.Contains(t.Words, word) })
}
