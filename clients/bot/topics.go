package bot

import (
	_ "embed"
	"maps"
	"slices"

	"go.yaml.in/yaml/v3"

	"saltwright/clients/reading"
)

//go:embed topics.yaml
var topicFile []byte

// Member is one number of a request that a question may state.
type Member struct {
	Member   string   // as the contract names it, with dots between levels
	Unit     string   // of the contract; psu, salinity, clock or bare where people write no unit of it
	Roles    []string // concepts beside a number that name it
	Required bool
	Any      bool // a number of this unit without a role belongs here
	Bare     bool // a number without a unit, beside a role, belongs here
	Likely   bool // not required; the last number of its kind is meant for it
	Every    bool // a number after every belongs here
	Special  bool // its roles say more than those of another member beside the same number
	From, To float64
}

// Box is a group of lengths such as 48x24x20 in.
type Box struct {
	Name     string
	Roles    []string // none: a group without a role belongs here
	Members  []string
	Edges    []string // the concept that names each length alone
	Required bool
	// FromVolume lets a volume that is said without any length give the lengths.
	FromVolume bool `yaml:"from_volume"`
}

// Topic is one kind of message and the operation that answers it.
type Topic struct {
	Name          string
	Operation     string // operationId of the contract; empty where Kind says what to do
	Kind          Kind
	Cues          map[string]float64
	NeedsOne      [][]string `yaml:"needs_one"` // one concept of each list must be there
	Groups        []string
	Boxes         []Box
	Members       []Member
	Words         map[string][]string // members that are words, and the concepts that say them
	RequiredWords []string            `yaml:"required_words"`
	Required      []string            // members that are required where no box has them
	Assumed       []string            // members whose assumed values are told first
	StandIn       map[string]string   `yaml:"stand_in"` // a required member that may take another one's value
	Ranges        [][]string          // two members that a range states
	Smaller       []string            // two members of one unit; the first is the smaller one
	Share         map[string][]string // a percentage: the member it gives, and of which
	Implied       map[string]map[string]string
	Fixed         map[string]string
	Loads         map[string]string // concepts beside a power, and the role of that load
	Sizes         bool              // a power that no member takes is a size to choose from
	Caution       string            // code of the caution to tell first; empty: as the service orders them
	Page          bool              // only a page can take what it needs
}

// topics is everything that this bot answers, refuses and passes over.
var topics = func() []*Topic {
	var file struct {
		Groups map[string]*Topic
		Topics map[string]*Topic
	}
	if err := yaml.Unmarshal(topicFile, &file); err != nil {
		panic(err)
	}
	var out []*Topic
	for _, name := range slices.Sorted(maps.Keys(file.Topics)) {
		t := file.Topics[name]
		t.Name = name
		for _, group := range t.Groups {
			t.take(file.Groups[group])
		}
		out = append(out, t)
	}
	return out
}()

// take adds what a group of topics shares.
func (t *Topic) take(g *Topic) {
	t.Boxes = append(t.Boxes, g.Boxes...)
	t.Members = append(t.Members, g.Members...)
	t.RequiredWords = append(t.RequiredWords, g.RequiredWords...)
	if t.Fixed == nil {
		t.Fixed = map[string]string{}
	}
	maps.Copy(t.Fixed, g.Fixed)
	if t.Words == nil {
		t.Words = map[string][]string{}
	}
	maps.Copy(t.Words, g.Words)
}

func topicOf(name string) *Topic {
	for _, t := range topics {
		if t.Name == name {
			return t
		}
	}
	return nil
}

// TopicOf returns the name of the topic that an operation answers, or nothing.
func TopicOf(operation string) string {
	for _, t := range topics {
		if t.Operation == operation {
			return t.Name
		}
	}
	return ""
}

// CautionOf returns the code of the caution that the answer of an operation needs most, or nothing.
func CautionOf(operation string) string {
	if t := topicOf(TopicOf(operation)); t != nil {
		return t.Caution
	}
	return ""
}

// member returns the topic's member of a name, or nothing.
func (t *Topic) member(name string) *Member {
	for i := range t.Members {
		if t.Members[i].Member == name {
			return &t.Members[i]
		}
	}
	return nil
}

// takes reports whether a quantity has a dimension that a member takes. A salinity of the tank may be written as a
// specific gravity, which the service converts.
func (m Member) takes(u *reading.Unit) bool {
	switch {
	case m.Unit == "clock", m.Unit == "level":
		return false
	case u == nil:
		return m.Bare
	case m.Unit == "bare":
		return false
	case m.Unit == "salinity":
		return scales[u.Dimension] != ""
	case m.Unit == "psu":
		return u.Dimension == reading.Practical || u.Dimension == reading.SpecificGravity
	}
	return reading.DimensionOf(m.Unit) == u.Dimension
}

// needed reports whether one concept of each list that a topic needs is there.
func (t *Topic) needed(concepts map[string]bool) bool {
	for _, list := range t.NeedsOne {
		if !slices.ContainsFunc(list, func(c string) bool { return concepts[c] }) {
			return false
		}
	}
	return true
}

const (
	scaleMember = "scale"
	valueMember = "value"
	uncorrected = "specific_gravity_uncorrected" // a hydrometer that floats in the sample at its own temperature
)

// scales holds the contract's name for the scale that a unit implies.
var scales = map[reading.Dimension]string{
	reading.SpecificGravity: "specific_gravity",
	reading.Practical:       "practical_psu", // ppt for practical salinity: common practice, no source
	reading.Absolute:        "absolute_g_kg",
	reading.Concentration:   "grams_per_litre",
	reading.Conductivity:    "conductivity_ms_cm",
}
