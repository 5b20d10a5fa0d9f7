package plan

// Box is one processor and one power supply that hold controls, alarms and sensors: they fail together.
type Box struct {
	ID           string
	Holds        []string // ids of controls, alarms and sensors
	DeadOutputs  DeadOutputs
	AfterRestart AfterRestart
	Circuit      *string // of all that it holds
	Supply       *string // a strip or a circuit; Circuit is its old name
}

// DeadOutputs is what the outputs of a box do when it dies.
type DeadOutputs string

// What dead outputs do.
const (
	DeadOpen   DeadOutputs = "open"
	DeadClosed DeadOutputs = "closed"
	DeadLast   DeadOutputs = "last"
)

// AfterRestart is what a box does when its power comes back.
type AfterRestart string

// What a box does after a restart.
const (
	ByControls AfterRestart = "by_controls" // cuts and lock-outs are forgotten
	AsBefore   AfterRestart = "as_before"   // cuts and lock-outs stay
	AllOff     AfterRestart = "off"         // until somebody comes
)
