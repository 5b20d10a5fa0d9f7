package bot

import "saltwright/clients/reading"

// Kind is what a reply does.
type Kind string

// The kinds of replies.
const (
	Answers  Kind = "answer"
	AsksBack Kind = "question"
	Refuses  Kind = "refusal"
	Silent   Kind = "silence"
)

// The topics that no operation of the service answers.
const (
	Emergency  = "emergency"  // what to do now
	Help       = "help"       // what the bot answers
	Testing    = "testing"    // how often to test what protects a tank
	Protection = "protection" // a protection is to be bypassed
)

// Understanding is what was read from a text and what the reply will do.
type Understanding struct {
	Kind    Kind
	Topic   string                      // the operation as in its path, or why none is asked
	Values  map[string]reading.Quantity // by the member of the contract
	Words   map[string]string           // members that are words: lid, scale
	Missing []string
	Unused  []string
}
