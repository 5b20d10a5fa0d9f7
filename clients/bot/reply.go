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
	Kind     Kind
	Lead     string
	Points   []string
	Line     string // a whole question to send again
	ReadAs   []string
	Unused   []string
	Assumed  []string
	Unnamed  int // more that was assumed, which the page names
	Warnings []string
	Cautions []string
	Link     string
	LinkSays string // what is behind the link, where that is more than the page
	Page     string // the page without what was asked, where the link has no room; empty: there is only the link
	PageSays string

	Question *Question // what was understood
	lexicon  *lexicon
}

// Answerer turns a text into a reply.
type Answerer struct {
	Service Service
	Name    string                              // what people call the bot; lines to send again begin with !Name
	Page    func(topic, language string) string // the address of a topic's page; nil without pages
}

// Reply reads a text and answers it, asks back, refuses or stays silent. The error is for the log: the reply says what
// the person needs. Direct questions need no name before them.
func (a Answerer) Reply(ctx context.Context, text string, direct bool) (Reply, error) {
	q := read(text)
	var reply Reply
	var err error
	switch {
	case q.Topic == nil && q.Kind == Silent || q.Kind == Silent:
		reply = Reply{}
	case q.Topic == nil:
		reply = Reply{Lead: q.lexicon.say("unknown"), Unused: q.Unused}
	case q.Kind == Refuses || q.Topic.Name == Help || q.Topic.Name == Testing:
		reply = Reply{Lead: q.lexicon.say(q.Topic.Name)}
	case q.Topic.Name == Emergency:
		reply = q.emergency()
	case q.Kind == AsksBack:
		reply = q.askBack()
		if q.Topic.Page && a.Page != nil {
			reply.Link = a.Page(q.Topic.Name, q.lexicon.language)
		}
	default:
		reply, err = a.ask(ctx, q)
	}
	reply.Kind, reply.Question, reply.lexicon = q.Kind, q, q.lexicon
	if reply.Line != "" && !direct && a.Name != "" {
		reply.Line = "!" + a.Name + " " + reply.Line
	}
	return reply, err
}

// emergencies are the concepts of events, the most dangerous to people first.
var emergencies = []string{
	"e_shock", "e_smoke", "e_broken", "e_leak", "e_stuck", "e_overdose", "e_gasp", "e_outage",
}

// emergency says what to do now, first about what is most dangerous to people.
func (q *Question) emergency() Reply {
	has := q.heard.concepts
	pump := (has["doser"] || has["topoff"]) && !has["heater"]
	for _, e := range emergencies {
		switch {
		case !has[e]:
		case e == "e_stuck" && pump:
			return Reply{Lead: q.lexicon.say("emergency_e_overdose")}
		default:
			return Reply{Lead: q.lexicon.say("emergency_" + e)}
		}
	}
	return Reply{Lead: q.lexicon.say("emergency_e_outage")} // never reached: the topic needs one of them
}

const mostPoints = 6

func (q *Question) askBack() Reply {
	say := q.lexicon.say
	r := Reply{Lead: say("about", q.lexicon.about(q.Topic.Name)), ReadAs: q.readAs(), Unused: q.Unused}
	if q.Topic.Page {
		r.Points = []string{say("page_only", q.lexicon.about(q.Topic.Name))}
		return r
	}
	for _, t := range q.Troubles {
		code, value, _ := strings.Cut(t.Why, ":")
		why := t.Why + "."
		if lexicons[0].texts[code] != "" {
			why = say(code, value)
		}
		r.Points = append(r.Points, say("quoted", shortened(t.Text, 80), why))
	}
	if text := q.severalThings(); text != "" {
		r.Points = append(r.Points, text)
	}
	var names []string
	for _, m := range q.Missing {
		if name := q.lexicon.name(m); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) > 0 {
		r.Points = append(r.Points, say("still_need", strings.Join(names, "; ")))
	}
	r.Points = r.Points[:min(len(r.Points), mostPoints)]
	r.Line = q.line()
	return r
}

// severalThings says what a temperature that no member took could be.
func (q *Question) severalThings() string {
	for _, n := range q.heard.numbers {
		one := n.Group[0]
		if len(n.Group) > 1 || one.Unit == nil || one.Unit.Dimension != reading.Temperature ||
			!slices.Contains(q.Unused, n.Text) {
			continue
		}
		var could []string
		for _, m := range q.Topic.Members {
			_, done := q.Values[m.Member]
			if m.takes(one.Unit) && !done && !m.Special {
				could = append(could, q.lexicon.label(m.Member)+" "+n.Text)
			}
		}
		if len(could) > 1 {
			return q.lexicon.say("quoted", n.Text, q.lexicon.say("could_be", strings.Join(could, ", ")))
		}
	}
	return ""
}

func (a Answerer) ask(ctx context.Context, q *Question) (Reply, error) {
	members, warnings, assumedHere, err := a.members(ctx, q)
	var answer *Answer
	if err == nil {
		answer, err = a.Service.Ask(ctx, Request{
			Operation: q.Topic.Operation, Members: nested(members), US: q.US, Language: q.lexicon.language,
		})
	}
	var refusal *Refusal
	var busy *BusyError
	switch {
	case errors.As(err, &refusal):
		return q.refused(refusal), nil
	case errors.As(err, &busy):
		wait := 60
		if busy.After > 0 {
			wait = int(math.Ceil(busy.After.Seconds()))
		}
		return Reply{Lead: q.lexicon.say("busy", strconv.Itoa(wait))}, err
	case err != nil:
		return Reply{Lead: q.lexicon.say("no_answer")}, err
	}
	r := Reply{
		Lead: answer.Headline, ReadAs: q.readAs(), Unused: q.Unused,
		Warnings: append(warnings, answer.Warnings...), Cautions: answer.Cautions, Link: answer.Link,
	}
	r.Assumed, r.Unnamed = q.assumed(append(assumedHere, answer.Assumptions...))
	if q.Topic.Name == "plan-audit" {
		r.Lead = q.lexicon.say("plan_found", answer.Headline)
		r.Points = append(r.Points, q.askedFirst(answer.Findings)[:min(2, len(answer.Findings))]...)
		r.Points = append(r.Points, answer.Actions[:min(2, len(answer.Actions))]...)
		r.LinkSays, r.Page, r.PageSays = q.lexicon.say("plan_open"), answer.Page, q.lexicon.say("plan_link")
		if r.Link == r.Page {
			r.LinkSays = r.PageSays
		}
		return r, nil
	}
	if figures := answer.Figures[:min(3, len(answer.Figures))]; len(figures) > 0 {
		r.Points = append(r.Points, strings.Join(figures, "; "))
	}
	r.Points = append(r.Points, answer.Actions[:min(3, len(answer.Actions))]...)
	return r, nil
}

// members returns the members of the request, with a specific gravity converted where a practical salinity is wanted,
// what is to be said about the conversion, and what the bot itself assumed.
func (a Answerer) members(
	ctx context.Context, q *Question,
) (members map[string]any, warnings []string, assumed []Assumption, err error) {
	members = q.members()
	for member, v := range q.Values {
		m := q.Topic.member(member)
		if m == nil || m.Unit != "psu" || v.Unit == nil || v.Unit.Dimension != reading.SpecificGravity {
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
			return nil, nil, nil, refusal
		case err != nil:
			return nil, nil, nil, err
		case converted.PracticalPSU == nil:
			return nil, nil, nil, errors.New("bot: the service converted a specific gravity and did not say to what")
		}
		members[member] = math.Round(*converted.PracticalPSU*1e4) / 1e4 // finer than anybody measures
		for _, w := range converted.Warnings {
			warnings = append(warnings, q.lexicon.name(member)+", "+q.lexicon.quantity(v.String())+": "+w)
		}
	}
	slices.Sort(warnings)
	if q.Topic.Name == "plan-audit" {
		assumed = q.planMembers(members)
	}
	q.loadMembers(members)
	if len(q.Sizes) > 0 {
		members["stock_sizes_w"] = q.Sizes
	}
	return members, warnings, assumed, nil
}

// UnderstoodNumbers returns what was understood by the member of the contract, in its units. A specific gravity is
// converted by the service where a practical salinity is wanted.
func (a Answerer) UnderstoodNumbers(ctx context.Context, q *Question) (map[string]any, error) {
	out := map[string]any{}
	if q.Topic == nil || q.Topic.Operation == "" {
		return out, nil
	}
	members, _, _, err := a.members(ctx, q)
	var refusal *Refusal
	if errors.As(err, &refusal) {
		members, err = q.members(), nil
	}
	for m := range q.Values {
		out[m] = members[m]
	}
	if n, ok := q.Values["heaters"]; ok {
		out["heaters"] = n.Value
	}
	for m, w := range q.Words {
		out[m] = w
	}
	return out, err
}

// refused explains in the person's words and units which values the service refuses.
func (q *Question) refused(refusal *Refusal) Reply {
	q.Kind = AsksBack
	r := Reply{Lead: q.lexicon.say("values_wrong"), Unused: q.Unused}
	for _, v := range refusal.Violations {
		r.Points = append(r.Points, q.violation(v))
		if q.Topic.member(v.Member) != nil {
			q.Missing = append(q.Missing, v.Member)
		}
		delete(q.Values, v.Member)
	}
	r.Points = r.Points[:min(len(r.Points), mostPoints)]
	r.ReadAs, r.Line = q.readAs(), q.line()
	return r
}

var longDecimals = regexp.MustCompile(`[0-9]+\.[0-9]{5,}`)

func (q *Question) violation(v Violation) string {
	stated, ok := q.Values[v.Member]
	begin := q.lexicon.name(v.Member) + " " // assumed, or derived from what was stated
	write := func(limit float64, _ func(float64) float64) string {
		return q.lexicon.quantity(inPersonsUnit(limit, v.Unit, q.US))
	}
	if ok && stated.Unit != nil {
		begin = "“" + shortened(stated.Said, 80) + "”: " + q.lexicon.name(v.Member) + " "
		write = func(limit float64, round func(float64) float64) string {
			return q.lexicon.quantity(stated.Unit.RoundedFrom(limit, round).String())
		}
	}
	switch {
	case v.Min != nil && v.Max != nil:
		return begin + q.lexicon.say("must_be_range", write(*v.Min, math.Ceil), write(*v.Max, math.Floor))
	case v.Min != nil:
		return begin + q.lexicon.say("must_be_least", write(*v.Min, math.Ceil))
	case v.Max != nil:
		return begin + q.lexicon.say("must_be_most", write(*v.Max, math.Floor))
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
