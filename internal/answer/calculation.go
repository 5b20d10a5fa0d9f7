package answer

import (
	"cmp"
	"context"
	"fmt"
	"reflect"
	"slices"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/plan"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
	"saltwright/internal/contract"
)

// calculation adapts a typed function: a request of the contract, with its defaults, becomes Req, and what comes back
// becomes the envelope.
func calculation[Req, Resp any](f func(ctx context.Context, r Req) (envelope.Answer[Resp], error)) binding {
	return calculationOfDocument(func(ctx context.Context, _ *contract.Request, r Req) (envelope.Answer[Resp],
		error) {
		return f(ctx, r)
	})
}

// calculationOfDocument is calculation for a function that wants the request as it was sent, too.
func calculationOfDocument[Req, Resp any](
	f func(ctx context.Context, asked *contract.Request, r Req) (envelope.Answer[Resp], error),
) binding {
	return func(o *contract.Operation) (Operation, error) {
		request, result := reflect.TypeFor[Req](), reflect.TypeFor[Resp]()
		if err := o.Fits(request); err != nil {
			return Operation{}, err
		}
		numbers, err := o.Formatted(result)
		if err != nil {
			return Operation{}, err
		}
		rests, err := newModel(o)
		if err != nil {
			return Operation{}, err
		}
		studied, err := newStudied(o, result)
		if err != nil {
			return Operation{}, err
		}
		refuse := func(err error, asked *contract.Request) error {
			if refused := envelope.Refused(err, asked); refused != nil {
				return refused
			}
			return fmt.Errorf("%s: %w", o.ID, err)
		}
		return Operation{Request: request, Result: result, Answer: func(ctx context.Context,
			asked *contract.Request) (any, error) {
			var r Req
			if err := asked.Into(&r); err != nil {
				return nil, err
			}
			a, err := f(ctx, asked, r)
			if err != nil {
				return nil, refuse(err, asked)
			}
			e := enclose(asked, a, numbers, rests)
			if e.Charts, err = chartsOf(asked, a); err != nil {
				return nil, refuse(err, asked)
			}
			how := samplingOf(asked)
			if how.samples == 0 {
				return e, nil
			}
			sensitivity, err := study(ctx, asked, how, studied, r, e, func(ctx context.Context, r Req) (Resp, error) {
				a, err := f(ctx, asked, r)
				return a.Result, err
			})
			if err != nil {
				return nil, refuse(err, asked)
			}
			e.Texts = append(e.Texts, speak(readerOf(asked).Speaker(), sensitivity, "/sensitivity")...)
			return studiedEnvelope{e, sensitivity}, nil
		}}, nil
	}
}

// reported adds a report for people to a calculation.
func reported[Req any](
	plain binding, write func(ctx context.Context, r Req, p plan.Paper) ([]byte, error),
) binding {
	return func(o *contract.Operation) (Operation, error) {
		ready, err := plain(o)
		if err != nil {
			return Operation{}, err
		}
		ready.Report = func(ctx context.Context, asked *contract.Request, p Paper) ([]byte, error) {
			var r Req
			if err := asked.Into(&r); err != nil {
				return nil, err
			}
			reader, sent := readerOf(asked), map[string]any(asked.Sent())
			page, err := write(ctx, r, plan.Paper{
				Asked: asked, Markdown: p.Markdown, Link: p.Link, Defaults: assumedDefaults(asked), Reader: reader,
				Document: sent, Said: reciterFor(reader).said(o.Request, sent),
				Place: func(pointer string) string { return reciterFor(reader).place(o.Request, sent, pointer) },
			})
			if err != nil {
				if refused := envelope.Refused(err, asked); refused != nil {
					return nil, refused
				}
				return nil, fmt.Errorf("%s: %w", o.ID, err)
			}
			return page, nil
		}
		return ready, nil
	}
}

// readerOf returns the language and the units that the texts of an answer were asked in.
func readerOf(asked *contract.Request) catalogue.Reader {
	said := func(parameter string) string {
		s, _ := asked.Parameter(parameter).(string)
		return s
	}
	return catalogue.Reader{Language: catalogue.Language(said("language")), Units: catalogue.Units(said("units"))}
}

// chartsOf draws an answer where its request includes charts.
func chartsOf[R any](asked *contract.Request, a envelope.Answer[R]) ([]chart.Chart, error) {
	if asked.Parameter("include") != "charts" || a.Charts == nil {
		return nil, nil
	}
	return a.Charts(readerOf(asked))
}

// studiedEnvelope is the envelope of an operation that takes samples.
type studiedEnvelope struct {
	envelope.Envelope
	Sensitivity *Sensitivity `json:"sensitivity,omitempty"`
}

// enclose puts a calculation's answer into the envelope, its texts in the language and the units that were asked for.
func enclose[R any](
	asked *contract.Request, a envelope.Answer[R], numbers *contract.Formatted, rests model,
) envelope.Envelope {
	speaker, o := readerOf(asked).Speaker(), asked.Operation
	assumed := append(assumedDefaults(asked), a.Assumptions...)
	slices.SortStableFunc(assumed, func(a, b envelope.Assumption) int { return cmp.Compare(a.Pointer, b.Pointer) })
	formatted := []envelope.Formatted{}
	numbers.Walk(a.Result, func(pointer string, value float64, s *contract.Schema) {
		formatted = append(formatted, envelope.Formatted{Pointer: pointer,
			Text: speaker.Number(value, s.Quantity, s.Unit)})
	})
	warnings := append(a.Warnings, rests.published.warnings(asked, a.Result, assumed, a.Reached)...)
	e := envelope.Envelope{
		Headline: a.Headline, Actions: envelope.List(a.Actions),
		KeyFigures: envelope.Each(a.KeyFigures, func(f envelope.KeyFigure) envelope.Figure {
			unit := catalogue.UnitOf(f.Quantity)
			return envelope.Figure{Code: f.Label.Code, Label: f.Label, Value: f.Value, Unit: unit,
				Text: speaker.Number(f.Value, f.Quantity, unit)}
		}),
		Formatted: formatted, Assumptions: envelope.List(assumed), Warnings: envelope.List(warnings),
		Cautions: envelope.List(a.Cautions), Texts: []envelope.Text{},
		Model: envelope.Model{
			Name: o.Name(), Version: o.ModelVersion, Sources: rests.with(a.Sources), Ranges: rests.published.ranges,
			Note: a.Note,
		},
	}
	e.Texts = append(e.Texts, speak(speaker, &a.Result, "/result")...)
	e.Result = a.Result
	e.Texts = append(e.Texts, speak(speaker, &e, "")...)
	if a.Brief {
		e.Assumptions, e.Formatted, e.Texts = []envelope.Assumption{}, []envelope.Formatted{}, []envelope.Text{}
		e.Model.Ranges = []envelope.Range{}
	}
	e.Summary = speaker.Say(text.Sentences(a.Headline, a.Details))
	return e
}

// assumedDefaults lists what the contract's defaults brought into a request.
func assumedDefaults(asked *contract.Request) []envelope.Assumption {
	defaults := asked.Assumed()
	out := make([]envelope.Assumption, len(defaults), len(defaults)+4)
	for i, d := range defaults {
		out[i] = envelope.Assumption{Pointer: d.Pointer, Value: d.Value, Unit: d.Unit, Why: d.Why, Source: d.Source,
			Note: text.Of(d.Note, nil)}
	}
	return out
}
