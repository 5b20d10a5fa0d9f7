package bot

import (
	"context"
	"errors"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"saltwright/clients/reading"
)

// Reply is what the bot says, before it is written in a dialect. Its texts are plain.
type Reply struct {
	Lead     string
	Points   []string
	Line     string // a whole question to send again
	ReadAs   []string
	Unused   []string
	Assumed  []string
	Warnings []string
	Cautions []string
	Link     string
	Model    string
	Contract string
}

// Answerer turns a text into a reply.
type Answerer struct {
	Service  Service
	Name     string // what people call the bot; lines to send again begin with !Name
	Contract string // version of the contract that this bot knows
}

// Reply reads a question and answers it, or asks back. The error is for the log:
// the reply says what the person needs. Direct questions need no name before them.
func (a Answerer) Reply(ctx context.Context, text string, direct bool) (Reply, error) {
	q := Read(text)
	prefix := ""
	if !direct && a.Name != "" {
		prefix = "!" + a.Name + " "
	}
	var reply Reply
	var err error
	switch {
	case q.Topic == nil:
		reply = unknown(q)
	case !q.Complete():
		reply = askBack(q)
	default:
		reply, err = a.ask(ctx, q)
	}
	if reply.Contract == "" {
		reply.Contract = a.Contract
	}
	if reply.Line != "" {
		reply.Line = prefix + reply.Line
	}
	return reply, err
}

func unknown(q Question) Reply {
	switch {
	case len(q.Several) > 0:
		var names []string
		for _, t := range q.Several {
			names = append(names, t.Command)
		}
		return Reply{
			Lead: "One question at a time, please: " + strings.Join(names, " or ") + "? Begin with that word.",
			Line: q.Several[0].line(nil, q.US),
		}
	case q.Nearest != nil:
		return Reply{
			Lead: "I do not know that question. Did you mean " + q.Nearest.Command + " (" + q.Nearest.About + ")?",
			Line: q.Nearest.line(nil, q.US),
		}
	}
	return Reply{
		Lead: "I answer questions about " + topicList() + ". Write one line, with your numbers in the blanks.",
		Line: topics[0].line(nil, q.US),
	}
}

const mostPoints = 8

func askBack(q Question) Reply {
	r := Reply{Lead: "About your question on " + q.Topic.Command + ":", Unused: q.Unused}
	for _, t := range q.Troubles {
		text := t.Why + "."
		if t.Text != "" {
			text = "“" + shortened(t.Text, 80) + "” " + text
		}
		r.Points = append(r.Points, text)
	}
	for _, m := range q.Missing {
		r.Points = append(r.Points, "I still need: "+m+".")
	}
	if len(r.Points) > mostPoints {
		r.Points = append(r.Points[:mostPoints], "And more of that kind.")
	}
	r.ReadAs = q.ReadAs()
	r.Line = q.Topic.line(&q, q.US)
	return r
}

func (a Answerer) ask(ctx context.Context, q Question) (Reply, error) {
	members, warnings, err := a.members(ctx, q)
	var answer *Answer
	if err == nil {
		answer, err = a.Service.Ask(ctx, Request{Operation: q.Topic.Operation, Members: members, US: q.US})
	}
	var refusal *Refusal
	var busy *BusyError
	switch {
	case errors.As(err, &refusal):
		return refused(q, refusal), nil
	case errors.As(err, &busy):
		wait := "a minute"
		if busy.After > 0 {
			wait = strconv.Itoa(int(math.Ceil(busy.After.Seconds()))) + " s"
		}
		return Reply{Lead: "The service has too much to do just now. Ask again in " + wait + "."}, err
	case err != nil:
		return Reply{
			Lead: "I understood the question, but the service does not answer just now. Ask again in a few minutes.",
		}, err
	}
	return Reply{
		Lead: answer.Summary, ReadAs: q.ReadAs(), Unused: q.Unused, Assumed: assumed(q, answer.Assumptions),
		Warnings: append(warnings, answer.Warnings...), Cautions: answer.Cautions, Link: answer.Link,
		Model: answer.Model, Contract: answer.Contract,
	}, nil
}

// members returns the members of the request, with a specific gravity converted where a practical salinity is
// wanted, and what is to be said about the conversion.
func (a Answerer) members(
	ctx context.Context, q Question,
) (members map[string]any, warnings []string, err error) {
	members = q.Members()
	for member, v := range q.Values {
		if member == valueMember || v.Unit.Dimension != reading.SpecificGravity {
			continue
		}
		converted, err := a.Service.Ask(ctx, Request{
			Operation: "postSalinityConversion",
			Members:   map[string]any{scaleMember: scales[reading.SpecificGravity], valueMember: v.Value},
		})
		var refusal *Refusal
		switch {
		case errors.As(err, &refusal):
			for i := range refusal.Violations { // its limits are those of a specific gravity
				refusal.Violations[i].Member = member
			}
			return nil, nil, refusal
		case err != nil:
			return nil, nil, err
		case converted.PracticalPSU == nil:
			return nil, nil, errors.New("bot: the service converted a specific gravity and did not say to what")
		}
		members[member] = *converted.PracticalPSU
		for _, w := range converted.Warnings {
			warnings = append(warnings, v.Name+", "+v.String()+": "+w)
		}
	}
	slices.Sort(warnings)
	return members, warnings, nil
}

// refused explains in the person's words and units which values the service refuses.
func refused(q Question, refusal *Refusal) Reply {
	r := Reply{Lead: "I understood the question, but these values cannot be right:", ReadAs: q.ReadAs()}
	for _, v := range refusal.Violations {
		r.Points = append(r.Points, violation(q, v))
	}
	if len(r.Points) > mostPoints {
		r.Points = append(r.Points[:mostPoints], "And more of that kind.")
	}
	again := q
	again.Values, again.systems = map[string]Stated{}, map[string]reading.System{}
	for m, v := range q.Values {
		if !slices.ContainsFunc(refusal.Violations, func(v Violation) bool { return v.Member == m }) {
			again.Values[m] = v
		} else {
			again.systems[m] = v.Unit.System
		}
	}
	r.Line = q.Topic.line(&again, q.US)
	return r
}

var longDecimals = regexp.MustCompile(`[0-9]+\.[0-9]{5,}`)

func violation(q Question, v Violation) string {
	stated, ok := q.Values[v.Member]
	begin := memberName(v.Member) + " " // assumed, or derived from what was stated
	write := func(limit float64, _ func(float64) float64) string { return inPersonsUnit(limit, v.Unit, q.US) }
	if ok {
		begin = "“" + shortened(stated.Said, 80) + "”: " + stated.Name + " "
		write = func(limit float64, round func(float64) float64) string {
			return stated.Unit.RoundedFrom(limit, round).String()
		}
	}
	switch {
	case v.Min != nil && v.Max != nil:
		return begin + "must be from " + write(*v.Min, math.Ceil) + " to " + write(*v.Max, math.Floor) + "."
	case v.Min != nil:
		return begin + "must be at least " + write(*v.Min, math.Ceil) + "."
	case v.Max != nil:
		return begin + "must be at most " + write(*v.Max, math.Floor) + "."
	}
	return strings.TrimSpace(begin+shorterDetail(v.Detail)) + "."
}

// shorterDetail shortens long numbers and drops the unit of a pure number and the final full stop.
func shorterDetail(detail string) string {
	short := longDecimals.ReplaceAllStringFunc(detail, func(n string) string {
		v, err := strconv.ParseFloat(n, 64)
		if err != nil {
			return n
		}
		return strconv.FormatFloat(v, 'g', 5, 64)
	})
	return strings.TrimRight(strings.TrimSuffix(strings.TrimSpace(short), " (1)"), ".")
}

// shortened cuts a text to n runes.
func shortened(text string, n int) string {
	runes := []rune(text)
	if len(runes) <= n {
		return text
	}
	return string(runes[:n-1]) + "…"
}
