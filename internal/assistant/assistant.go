// Package assistant offers calculations to language models, as tools of the Model Context Protocol. Each tool is one
// operation of the contract with a short schema; whoever serves them says how an operation is asked, so that limits,
// costs and texts are those of the service.
package assistant

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"github.com/modelcontextprotocol/go-sdk/mcp"

	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/packed"
)

// Answer is what the service said to an operation.
type Answer struct {
	Status int
	Body   []byte
}

// Ask asks an operation: its name in the contract, its query, and its request as JSON.
type Ask func(ctx context.Context, operation string, query url.Values, request []byte) (Answer, error)

// instructions are what an assistant reads first.
const instructions = "Calculations for saltwater reef tanks: heat, water level, salinity, light, chemistry, and what " +
	"happens when one part fails. Numbers go in and come out in the units that the members name (mm, L, °C). Repeat " +
	"the answer's verdict, what to do and its cautions; give the link. Mains power beside water, hot glass and " +
	"caustic powders hurt people: defer to local codes and licensed trades. Nothing is stored."

// MostBytes is the largest message that is read.
const MostBytes = 128 << 10

// NewServer returns the tools.
//
//	publicURL  begins the links in answers; empty: they are relative to the service
//
// Errors: a table of tools that does not fit the contract.
func NewServer(all *contract.Contract, publicURL string, ask Ask) (*mcp.Server, error) {
	s := mcp.NewServer(&mcp.Implementation{Name: "saltwright", Version: all.Version},
		&mcp.ServerOptions{Instructions: instructions})
	for _, t := range tools {
		o, err := t.check(all)
		if err != nil {
			return nil, err
		}
		schema, err := json.Marshal(t.schemaOf(o))
		if err != nil {
			return nil, err
		}
		harmless := false
		s.AddTool(&mcp.Tool{
			Name: t.name, Title: o.Summary, Description: t.description, InputSchema: json.RawMessage(schema),
			Annotations: &mcp.ToolAnnotations{ReadOnlyHint: true, IdempotentHint: true, OpenWorldHint: &harmless},
		}, t.handler(publicURL, ask))
	}
	return s, nil
}

// Handler serves the tools over HTTP, without sessions: every message stands for itself.
func Handler(s *mcp.Server) http.Handler {
	return mcp.NewStreamableHTTPHandler(func(*http.Request) *mcp.Server { return s }, &mcp.StreamableHTTPOptions{
		Stateless: true, JSONResponse: true, MaxRequestBodyBytes: MostBytes,
		// Browsers of other sites may ask, as they may ask every other operation: nothing here is private.
		DisableLocalhostProtection: true,
	})
}

func (t tool) handler(publicURL string, ask Ask) mcp.ToolHandler {
	return func(ctx context.Context, call *mcp.CallToolRequest) (*mcp.CallToolResult, error) {
		query, request, err := t.asked(call.Params.Arguments)
		if err != nil {
			return failed(err.Error()), nil
		}
		answer, err := ask(ctx, t.operation, query, request)
		if err != nil {
			return nil, err
		}
		if answer.Status != http.StatusOK {
			return problem(answer.Body)
		}
		return t.said(publicURL, query, request, answer.Body)
	}
}

// asked takes a tool's arguments apart into what the operation is asked with.
func (t tool) asked(arguments json.RawMessage) (url.Values, []byte, error) {
	members := map[string]json.RawMessage{}
	if len(arguments) > 0 {
		if err := json.Unmarshal(arguments, &members); err != nil {
			return nil, nil, fmt.Errorf("the arguments of %s must be an object: %w", t.name, err)
		}
	}
	query := url.Values{}
	for parameter, allowed := range map[string]string{"units": "metric or us", "language": "en, de or es"} {
		if sent, ok := members[parameter]; ok {
			var name string
			if err := json.Unmarshal(sent, &name); err != nil {
				return nil, nil, fmt.Errorf("%s must be %s", parameter, allowed)
			}
			query.Set(parameter, name)
			delete(members, parameter)
		}
	}
	if t.detail != "" {
		query.Set("detail", t.detail)
	}
	if t.whole != "" {
		return query, members[t.whole], nil
	}
	request, err := json.Marshal(members)
	return query, request, err
}

// reply is the part of an answer that an assistant hands on.
type reply struct {
	Headline   string          `json:"headline"`
	Summary    string          `json:"summary"`
	KeyFigures []figure        `json:"key_figures"`
	Actions    []string        `json:"actions"`
	Warnings   []message       `json:"warnings"`
	Cautions   []message       `json:"cautions"`
	Link       string          `json:"link"`
	Plan       json.RawMessage `json:"plan,omitempty"`
}

type figure struct {
	Label string `json:"label"`
	Text  string `json:"text"`
}

type message struct {
	Message string `json:"message"`
}

func (t tool) said(publicURL string, query url.Values, request, body []byte) (*mcp.CallToolResult, error) {
	var answer struct {
		reply
		Result map[string]json.RawMessage `json:"result"`
	}
	if err := json.Unmarshal(body, &answer); err != nil {
		return nil, fmt.Errorf("the answer of %s: %w", t.operation, err)
	}
	out := answer.reply
	out.Link = publicURL + t.page(query, request)
	if t.keeps != "" {
		out.Plan = answer.Result[t.keeps]
	}
	return &mcp.CallToolResult{
		Content: []mcp.Content{&mcp.TextContent{Text: out.text(speakerOf(query))}}, StructuredContent: out,
	}, nil
}

// page is the address of the same question for people; where a question does not fit an address, that of its empty
// form.
func (t tool) page(query url.Values, request []byte) string {
	page := "/docs/calculators/" + t.operation + "/"
	form := page
	if language := query.Get("language"); language != "" {
		form += "?" + url.Values{"language": {language}}.Encode()
	}
	all := url.Values{}
	for _, parameter := range []string{"units", "language"} {
		if v := query.Get(parameter); v != "" {
			all.Set(parameter, v)
		}
	}
	if t.whole != "" {
		plan, err := packed.Pack(request)
		if err != nil || len(plan) > packed.MostCharacters {
			return form
		}
		all.Set(t.whole, plan)
		return "/plan/?" + all.Encode()
	}
	var members map[string]any
	if err := json.Unmarshal(request, &members); err != nil { // it has been answered, so it is an object
		return form
	}
	for name, value := range members {
		switch value.(type) {
		case []any, map[string]any:
			return form
		}
		all.Set(name, fmt.Sprint(value))
	}
	return page + "?" + all.Encode()
}

// speakerOf says the labels of a reply in the language that it was asked in.
func speakerOf(query url.Values) *catalogue.Speaker {
	return catalogue.Reader{Language: catalogue.Language(query.Get("language"))}.Speaker()
}

// text is the reply to read.
func (r reply) text(s *catalogue.Speaker) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	say := func(t text.Text) { line("%s", s.Say(t)) }
	line("%s", r.Summary)
	for _, f := range r.KeyFigures {
		line("- %s: %s", f.Label, f.Text)
	}
	if len(r.Actions) > 0 {
		say(text.Of("assistant_do", nil))
		for i, action := range r.Actions {
			line("%d. %s", i+1, action)
		}
	}
	for _, w := range r.Warnings {
		say(text.Of("assistant_warning", text.Params{"message": w.Message}))
	}
	for _, c := range r.Cautions {
		say(text.Of("assistant_caution", text.Params{"message": c.Message}))
	}
	say(text.Of("assistant_link", text.Params{"link": r.Link}))
	if len(r.Plan) > 0 {
		say(text.Of("assistant_plan", text.Params{"plan": string(r.Plan)}))
	}
	return b.String()
}

// problem says what is wrong with the arguments, or why nothing was calculated.
func problem(body []byte) (*mcp.CallToolResult, error) {
	var p struct {
		Title  string `json:"title"`
		Detail string `json:"detail"`
		Errors []struct {
			Pointer string `json:"pointer"`
			Detail  string `json:"detail"`
		} `json:"errors"`
	}
	if err := json.Unmarshal(body, &p); err != nil {
		return nil, fmt.Errorf("the problem that was answered: %w", err)
	}
	said := p.Title + ". " + p.Detail
	for _, e := range p.Errors {
		said += "\n- " + strings.TrimPrefix(e.Pointer, "#/") + ": " + e.Detail
	}
	return failed(said), nil
}

func failed(said string) *mcp.CallToolResult {
	return &mcp.CallToolResult{IsError: true, Content: []mcp.Content{&mcp.TextContent{Text: said}}}
}
