package bot

import (
	"slices"
	"strings"
)

// Slot is one member of a request that a question may state.
type Slot struct {
	Member       string   // as the contract names it
	Name         string   // as a person reads it
	Labels       []string // words near the number that name it; the first is how this bot writes it
	Dimension    Dimension
	Required     bool
	NeedsNoLabel bool   // a number of this dimension without a label is this one
	Metric       string // an example value
	US           string
}

// Box is a group of lengths such as 48x24x20 in.
type Box struct {
	Name      string
	Labels    []string // none: the group without a label
	Members   []string
	Edges     []string // how to call each
	Required  bool
	ExtraEdge bool // a further edge may be stated and is not used
	Metric    string
	US        string
}

// Topic is one kind of question and the operation that answers it.
type Topic struct {
	Command      string   // how this bot writes it
	Words        []string // that name it, as whole words
	Operation    string   // operationId of the contract
	About        string
	Boxes        []Box
	Slots        []Slot
	Lid          bool     // the words open, screen and closed may be said of the lid
	AssumedFirst []string // members whose assumed value is told first
}

var tankBox = Box{
	Name: "inside length x width x depth of the water", Members: []string{"length_mm", "width_mm", "water_depth_mm"},
	Edges: []string{"length", "width", "water depth"}, Required: true, Metric: "120x60x50 cm", US: "48x24x20 in",
}

var sumpBox = Box{
	Name: "length x width x depth of the water in the sump", Labels: []string{"sump"},
	Members: []string{"sump_length_mm", "sump_width_mm", "sump_depth_mm"},
	Edges:   []string{"sump length", "sump width", "sump depth"}, Metric: "60x40x30 cm", US: "24x16x12 in",
}

var surfaceBox = Box{
	Name: "length x width of the water's surface", Members: []string{"length_mm", "width_mm"},
	Edges: []string{"length", "width"}, Required: true, ExtraEdge: true, Metric: "120x60 cm", US: "48x24 in",
}

func roomSlots() []Slot {
	return []Slot{
		{
			Member: "coldest_c", Name: "coldest temperature of the room", Labels: []string{"coldest", "winter"},
			Dimension: Temperature,
		},
		{
			Member: "warmest_c", Name: "warmest temperature of the room",
			Labels: []string{"warmest", "hottest", "summer"}, Dimension: Temperature,
		},
		{
			Member: "room_c", Name: "usual temperature of the room",
			Labels: []string{"room", "ambient", "air", "house"}, Dimension: Temperature, Required: true,
			Metric: "18 °C", US: "64 °F",
		},
	}
}

var (
	humiditySlot = Slot{
		Member: "rh_percent", Name: "relative humidity of the room", Labels: []string{"humidity", "rh"},
		Dimension: Percent,
	}
	salinitySlot = Slot{
		Member: "salinity_psu", Name: "salinity", Labels: []string{"salinity"}, Dimension: Practical,
		NeedsNoLabel: true,
	}
	pumpsSlot = Slot{
		Member: "pumps_w", Name: "power of the pumps in the water", Labels: []string{"pumps", "pump"}, Dimension: Power,
	}
	lightsSlot = Slot{
		Member: "lights_w", Name: "power of the lights", Labels: []string{"lights", "light"}, Dimension: Power,
	}
	marginSlot = Slot{Member: "margin_percent", Name: "margin", Labels: []string{"margin"}, Dimension: Percent}
)

func waterSlot(member, name string) Slot {
	return Slot{
		Member: member, Name: name,
		Labels:    []string{"keep", "hold", "water", "tank", "set", "setpoint", "set-point", "target", "maintain"},
		Dimension: Temperature, Metric: "25.5 °C", US: "78 °F",
	}
}

func sizingSlots() []Slot {
	hold := waterSlot("setpoint_c", "temperature to hold")
	return append(roomSlots(), hold, humiditySlot, salinitySlot, pumpsSlot, lightsSlot, marginSlot)
}

// topics are all that this bot answers.
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
				Dimension: Temperature, Required: true, Metric: "20 °C", US: "68 °F",
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
				Metric: "30x30 cm", US: "12x12 in",
			},
			{
				Name:    "length x width of the display's surface",
				Members: []string{"surface_length_mm", "surface_width_mm"},
				Edges:   []string{"length", "width"}, Required: true, ExtraEdge: true, Metric: "120x60 cm",
				US: "48x24 in",
			},
		},
		Slots: append([]Slot{
			{
				Member: "reservoir_l", Name: "size of the reservoir",
				Labels: []string{"reservoir", "container", "bucket", "can"}, Dimension: Volume, Required: true,
				Metric: "40 L", US: "10 gal",
			},
			{
				Member: "volume_l", Name: "all water of the system",
				Labels: []string{"system", "total", "tank", "water", "display"}, Dimension: Volume, Required: true,
				Metric: "400 L", US: "100 gal",
			},
			{
				Member: "pump_l_h", Name: "flow of the top-off pump", Labels: []string{"pump", "flow"}, Dimension: Flow,
				Required: true, NeedsNoLabel: true, Metric: "20 L/h", US: "5 gal/h",
			},
			{
				Member: "days_away", Name: "days nobody is there", Labels: []string{"away", "for", "gone"},
				Dimension: Days, Required: true, NeedsNoLabel: true, Metric: "10 days", US: "10 days",
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
				Dimension: Temperature, NeedsNoLabel: true, Metric: "25 °C", US: "77 °F",
			}),
		AssumedFirst: []string{"sample_c", "sg_pair"},
	},
	{
		Command: "salt mix", Words: []string{"salt mix", "mix", "saltmix", "salt"}, Operation: "postSaltMix",
		About: "how much salt makes a volume of salt water",
		Slots: []Slot{
			{
				Member: "volume_l", Name: "volume of the finished salt water",
				Labels: []string{"for", "volume", "make"}, Dimension: Volume, Required: true, NeedsNoLabel: true,
				Metric: "200 L", US: "55 gal",
			},
			{
				Member: "start_psu", Name: "salinity before", Labels: []string{"from", "start", "now"},
				Dimension: Practical,
			},
			{
				Member: "target_psu", Name: "salinity wanted", Labels: []string{"to", "target", "at", "salinity"},
				Dimension: Practical, NeedsNoLabel: true,
			},
			{
				Member: "yield_g_l", Name: "what the label says makes a litre", Labels: []string{"label", "yield"},
				Dimension: Concentration, NeedsNoLabel: true,
			},
			{
				Member: "water_c", Name: "temperature of the water", Labels: []string{"water", "temperature"},
				Dimension: Temperature, NeedsNoLabel: true,
			},
		},
		AssumedFirst: []string{"target_psu", "yield_g_l", "volume_is", "start_psu", "water_c"},
	},
}

// scaleMember is the member that says in which scale a reading is; its value follows from the unit.
const (
	scaleMember = "scale"
	valueMember = "value"
)

// uncorrected is the scale of a hydrometer that floats in the sample at its own temperature.
const uncorrected = "specific_gravity_uncorrected"

// scales are the contract's names of what a unit states.
var scales = map[Dimension]string{
	SpecificGravity: "specific_gravity",
	Practical:       "practical_psu", // ppt for practical salinity: common practice, no source
	Absolute:        "absolute_g_kg",
	Concentration:   "grams_per_litre",
	Conductivity:    "conductivity_ms_cm",
}

func scaleSlots() []Slot {
	var out []Slot
	for _, d := range []Dimension{SpecificGravity, Practical, Absolute, Concentration, Conductivity} {
		out = append(out, Slot{
			Member: valueMember, Name: "reading with its unit (SG, ppt, g/kg, g/L or mS/cm)",
			Labels: []string{"reading", "salinity"}, Dimension: d, Required: true, NeedsNoLabel: true,
			Metric: "1.025 SG", US: "1.025 SG",
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

// topicList is one line: what can be asked.
func topicList() string {
	var names []string
	for _, t := range topics {
		names = append(names, t.Command)
	}
	return strings.Join(names, ", ")
}

// NamesTopic tells whether a word names a topic.
func NamesTopic(word string) bool {
	return slices.ContainsFunc(topics, func(t *Topic) bool { return slices.Contains(t.Words, word) })
}
