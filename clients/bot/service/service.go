// Package service asks the saltwright service on behalf of the bot, through the Go client.
package service

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strings"

	"saltwright/clients/bot"
	saltwright "saltwright/clients/go"
)

// Contract is the version of the contract that the bot knows.
const Contract = saltwright.ContractVersion

// Service is a bot.Service.
type Service struct {
	client *saltwright.Client
	public string
}

// New returns a service that is asked through client. Public is the address at which people reach the service, before
// /v1: links to answers begin with it. Empty means no links.
func New(client *saltwright.Client, public string) *Service {
	return &Service{client: client, public: strings.TrimRight(public, "/")}
}

// shared holds the members that every answer has.
type shared struct {
	Headline    string                  `json:"headline"`
	KeyFigures  []saltwright.KeyFigure  `json:"key_figures"`
	Actions     []string                `json:"actions"`
	Assumptions []saltwright.Assumption `json:"assumptions"`
	Warnings    []saltwright.Warning    `json:"warnings"`
	Cautions    []saltwright.Caution    `json:"cautions"`
	Result      struct {
		PracticalPSU *float64 `json:"practical_psu"`
		Findings     []struct {
			Severity string `json:"severity"`
			Message  string `json:"message"`
		} `json:"findings"`
	} `json:"result"`
}

type caller func(
	ctx context.Context, c *saltwright.Client, members map[string]any, options []saltwright.CallOption,
) (*shared, *saltwright.Meta, error)

// callerOf makes a caller from a method of the client. A member that the request does not have is an error.
func callerOf[Request, Reply any](call func(
	*saltwright.Client, context.Context, Request, ...saltwright.CallOption,
) (*Reply, *saltwright.Meta, error)) caller {
	return func(
		ctx context.Context, c *saltwright.Client, members map[string]any, options []saltwright.CallOption,
	) (*shared, *saltwright.Meta, error) {
		var request Request
		if err := convert(members, &request); err != nil {
			return nil, nil, err
		}
		reply, meta, err := call(c, ctx, request, options...)
		if err != nil {
			return nil, meta, err
		}
		out := new(shared)
		data, err := json.Marshal(reply)
		if err == nil {
			err = json.Unmarshal(data, out)
		}
		return out, meta, err
	}
}

func convert(members map[string]any, request any) error {
	data, err := json.Marshal(members)
	if err != nil {
		return err
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	return dec.Decode(request)
}

// operations are those that the bot's topics name. Answers to POST name the address that gives the same by GET, which
// is also the query of the page for people.
var operations = map[string]caller{
	"postHeaterSizing":       callerOf((*saltwright.Client).PostHeaterSizing),
	"postChillerSizing":      callerOf((*saltwright.Client).PostChillerSizing),
	"postEvaporativeCooling": callerOf((*saltwright.Client).PostEvaporativeCooling),
	"postEvaporation":        callerOf((*saltwright.Client).PostEvaporation),
	"postHeatBalance":        callerOf((*saltwright.Client).PostHeatBalance),
	"postAnnualBalance":      callerOf((*saltwright.Client).PostAnnualBalance),
	"postOutageEndurance":    callerOf((*saltwright.Client).PostOutageEndurance),
	"postTopOffEndurance":    callerOf((*saltwright.Client).PostTopOffEndurance),
	"postSumpDrainBack":      callerOf((*saltwright.Client).PostSumpDrainBack),
	"postSalinityConversion": callerOf((*saltwright.Client).PostSalinityConversion),
	"postSaltMix":            callerOf((*saltwright.Client).PostSaltMix),
	"postSalinityAdjustment": callerOf((*saltwright.Client).PostSalinityAdjustment),
	"postInstrumentReading":  callerOf((*saltwright.Client).PostInstrumentReading),
	"postWaterChange":        callerOf((*saltwright.Client).PostWaterChange),
	"postCarbonateSystem":    callerOf((*saltwright.Client).PostCarbonateSystem),
	"postDose":               callerOf((*saltwright.Client).PostDose),
	"postLimeWater":          callerOf((*saltwright.Client).PostLimeWater),
	"postLightScheduleScore": callerOf((*saltwright.Client).PostLightScheduleScore),
	"postLightAcclimation":   callerOf((*saltwright.Client).PostLightAcclimation),
	"postLightAdjustment":    callerOf((*saltwright.Client).PostLightAdjustment),
	"postLightComparison":    callerOf((*saltwright.Client).PostLightComparison),
	"postDaylight":           callerOf((*saltwright.Client).PostDaylight),
	"postPowerBudget":        callerOf((*saltwright.Client).PostPowerBudget),
	"postPlanAudit":          callerOf((*saltwright.Client).PostPlanAudit),
	"postPlanDraft":          callerOf((*saltwright.Client).PostPlanDraft),
}

// Ask implements bot.Service.
func (s *Service) Ask(ctx context.Context, r bot.Request) (*bot.Answer, error) {
	call := operations[r.Operation]
	if call == nil {
		return nil, fmt.Errorf("service: operation %q is none that the bot asks", r.Operation)
	}
	var options []saltwright.CallOption
	if r.US {
		options = append(options, saltwright.US())
	}
	if slices.Contains(spoken, r.Language) {
		options = append(options, saltwright.In(r.Language))
	}
	got, meta, err := call(ctx, s.client, r.Members, options)
	if err != nil {
		return nil, refusalOf(err)
	}
	out := &bot.Answer{Headline: got.Headline, Actions: got.Actions, PracticalPSU: got.Result.PracticalPSU}
	for _, f := range got.KeyFigures {
		out.Figures = append(out.Figures, f.Label+" "+f.Text)
	}
	for _, f := range got.Result.Findings {
		if f.Severity == "fatal" {
			out.Findings = append(out.Findings, f.Message)
		}
	}
	for _, a := range got.Assumptions {
		out.Assumptions = append(out.Assumptions, assumption(a))
	}
	for _, w := range got.Warnings {
		out.Warnings = append(out.Warnings, w.Message)
	}
	for _, c := range got.Cautions {
		if c.Code == bot.CautionOf(r.Operation) {
			out.Cautions = append([]string{c.Message}, out.Cautions...)
			continue
		}
		out.Cautions = append(out.Cautions, c.Message)
	}
	out.Link, out.Page = s.link(r, meta.Location), inLanguage(s.page(bot.TopicOf(r.Operation)), r.Language)
	return out, nil
}

// link is the page with the same answer, filled in where the answer has an address of its own: a calculator with what
// was asked, or the workshop with the plan on its bench.
func (s *Service) link(r bot.Request, location string) string {
	_, query, ok := strings.Cut(location, "?")
	page := s.page(bot.TopicOf(r.Operation))
	asked, err := url.ParseQuery(query)
	carries := ok && err == nil && (!strings.HasSuffix(page, workshop) || asked.Has("plan"))
	if carries && page != "" && strings.HasPrefix(location, "/") {
		return page + "?" + query
	}
	return inLanguage(page, r.Language)
}

// spoken are the languages besides English that the service answers in; people who write others are told its answer in
// English.
var spoken = []string{"de", "es"}

// workshop is where plans are built and tried.
const workshop = "/plan/"

// Page is the address of the page that answers a topic, in the language of who asks.
func (s *Service) Page(topic, language string) string { return inLanguage(s.page(topic), language) }

// inLanguage is a page's address in a language that it has.
func inLanguage(page, language string) string {
	if page != "" && slices.Contains(spoken, language) {
		return page + "?language=" + language
	}
	return page
}

// page is the workshop for plans, a calculator for the others.
func (s *Service) page(topic string) string {
	switch {
	case s.public == "":
		return ""
	case strings.HasPrefix(topic, "plan-"):
		return s.public + workshop
	}
	return s.public + "/docs/calculators/" + topic + "/"
}

// member names the member that a pointer is to, with dots between levels.
func member(pointer string) string {
	return strings.ReplaceAll(strings.TrimPrefix(pointer, "#/"), "/", ".")
}

func assumption(a saltwright.Assumption) bot.Assumption {
	out := bot.Assumption{Member: member(a.Pointer)}
	if a.Unit != nil {
		out.Unit = *a.Unit
	}
	var number float64
	if json.Unmarshal(a.Value, &number) == nil {
		out.Number = &number
		return out
	}
	var text string
	if json.Unmarshal(a.Value, &text) != nil {
		text = string(a.Value) // true, false, or a list as it is
	}
	out.Text = text
	return out
}

// refusalOf turns a problem into an error that the bot can explain.
func refusalOf(err error) error {
	var p *saltwright.ProblemError
	if !errors.As(err, &p) {
		return err
	}
	switch {
	case p.Status == 422 && len(p.Errors) > 0:
		out := &bot.Refusal{}
		for _, v := range p.Errors {
			one := bot.Violation{Detail: v.Detail}
			if v.Pointer != nil {
				one.Member = member(*v.Pointer)
			}
			if v.Unit != nil {
				one.Unit = *v.Unit
			}
			if v.Limit != nil {
				one.Min, one.Max = v.Limit.Minimum, v.Limit.Maximum
			}
			out.Violations = append(out.Violations, one)
		}
		return out
	case p.Status == 429 || p.Status == 503:
		return &bot.BusyError{After: p.RetryAfter}
	}
	return err
}
