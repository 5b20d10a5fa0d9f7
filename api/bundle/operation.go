package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// The markers of an operation; the head of api/src/openapi.yaml says what they mean.
const (
	templateMarker = "x-operation"
	requestMarker  = "x-request"
	resultMarker   = "x-result"
	answerMarker   = "x-answer"
	problemsMarker = "x-problems"
	samplesMarker  = "x-samples"
	packedMarker   = "x-packed"
)

// What the description of a GET says beyond that of its POST.
const (
	twinNote   = " As POST, with the members of its body as parameters" + keepIt
	packedNote = " As POST, with the plan packed into the parameter plan" + keepIt
	keepIt     = ": the answer has an address to keep and to share."
)

// complete makes whole operations of what the parts say of a path: the shared template, the body, the answer, the
// examples, and a GET that takes the members of POST's body as parameters.
func (b *bundler) complete(where string, item *yaml.Node) error {
	post, twin := get(item, "post"), get(item, "get")
	if post == nil {
		return b.operation(where, "get", twin)
	}
	body := get(post, requestMarker)
	if twin != nil {
		id, packs := get(twin, "operationId"), get(twin, packedMarker)
		twin.Content = nil
		lay(twin, copied(post))
		set(twin, "operationId", id)
		note := twinNote
		if packs != nil {
			note = packedNote
			set(twin, packedMarker, packs)
		}
		if about := get(twin, "description"); about != nil {
			about.Value += note
		}
		remove(twin, requestMarker)
		if err := b.parameters(twin, body, packs); err != nil {
			return err
		}
		if err := b.operation(where, "get", twin); err != nil {
			return err
		}
	}
	if err := b.operation(where, "post", post); err != nil {
		return err
	}
	if twin != nil {
		headers := get(get(get(post, "responses"), "200"), "headers")
		set(headers, "Content-Location", ref("headers", "Content-Location"))
	}
	return nil
}

func copied(n *yaml.Node) *yaml.Node {
	c := *n
	c.Content = nil
	for _, child := range n.Content {
		c.Content = append(c.Content, copied(child))
	}
	return &c
}

// operation lays one operation over the template of its method.
func (b *bundler) operation(where, method string, operation *yaml.Node) error {
	request, result := remove(operation, requestMarker), remove(operation, resultMarker)
	answer := remove(operation, answerMarker)
	studied := remove(operation, samplesMarker) != nil
	template, err := b.copy(get(get(b.root, templateMarker), method), rootFile)
	if err != nil {
		return err
	}
	name := calculation(get(operation, "operationId").Value)
	if result != nil {
		if answer, err = b.envelope(name, result, studied); err != nil {
			return err
		}
		parameters := remove(operation, "parameters")
		if parameters == nil {
			parameters = list()
		}
		parameters.Content = append(parameters.Content, ref("parameters", "units"), ref("parameters", "language"),
			ref("parameters", "include"))
		if studied {
			parameters.Content = append(parameters.Content, ref("parameters", "samples"), ref("parameters", "seed"))
		}
		set(operation, "parameters", parameters)
	}
	if b.speaks(operation) {
		headers := get(get(get(template, "responses"), "200"), "headers")
		set(headers, "Content-Language", ref("headers", "Content-Language"))
		set(headers, "Vary", ref("headers", "Vary"))
	}
	requests, answers, err := b.examplesOf(get(operation, "operationId").Value)
	if err != nil {
		return err
	}
	if request != nil {
		b.requests = append(b.requests, request)
		set(get(template, "requestBody"), "content", asJSON("schema", request, "examples", requests))
	}
	content := asJSON("schema", answer)
	if len(answers.Content) > 0 {
		set(get(content, "application/json"), "examples", answers)
	}
	set(get(get(template, "responses"), "200"), "content", content)
	own := remove(operation, "responses")
	lay(operation, template)
	if own != nil {
		lay(get(operation, "responses"), own)
	}
	return nil
}

// speaks tells whether an operation takes the parameter language.
func (b *bundler) speaks(operation *yaml.Node) bool {
	parameters := get(operation, "parameters")
	return parameters != nil && slices.ContainsFunc(parameters.Content, func(p *yaml.Node) bool {
		to := get(p, "$ref")
		return to != nil && strings.HasSuffix(to.Value, "/parameters/language")
	})
}

func asJSON(content ...any) *yaml.Node { return mapping("application/json", mapping(content...)) }

// calculation is an operation's name without its method: PlanAudit for postPlanAudit.
func calculation(id string) string {
	return strings.TrimPrefix(strings.TrimPrefix(id, "get"), "post")
}

// envelope writes the schema of an answer around its result and returns a reference to it.
func (b *bundler) envelope(name string, result *yaml.Node, studied bool) (*yaml.Node, error) {
	name += "Answer"
	if get(b.schemas, name) != nil {
		return ref("schemas", name), nil
	}
	source, err := b.find("answer.yaml", "answer")
	if err != nil {
		return nil, err
	}
	schema, err := b.copy(source, "answer.yaml")
	if err != nil {
		return nil, err
	}
	members := get(schema, "properties")
	set(members, "result", result)
	if !studied {
		remove(members, "sensitivity")
	}
	set(b.schemas, name, schema)
	return ref("schemas", name), nil
}

// parameters gives a GET the members of a body, beside what its POST takes as parameters. Where a plan is packed it
// stands for what it packs, and lists, which no query can say, stay with POST.
func (b *bundler) parameters(operation, body, packs *yaml.Node) error {
	all := list()
	if packs != nil {
		all.Content = append(all.Content, ref("parameters", "plan"))
	}
	if own := get(operation, "parameters"); own != nil {
		all.Content = append(all.Content, own.Content...)
	}
	set(operation, "parameters", all)
	if packs != nil && packs.Value == "#" {
		return nil
	}
	name, _ := schemaName(body)
	stated, err := b.stated(get(operation, "operationId").Value)
	if err != nil {
		return err
	}
	source, err := b.find(b.home[name], name)
	if err != nil {
		return err
	}
	schema, err := b.copy(source, b.home[name])
	if err != nil {
		return err
	}
	var required []string
	if r := get(schema, "required"); r != nil {
		for _, n := range r.Content {
			required = append(required, n.Value)
		}
	}
	for member, s := range pairs(get(schema, "properties")) {
		if kind := get(s, "type"); packs != nil && (kind == nil || kind.Value == "array") {
			continue
		}
		example, description := cmp.Or(stated[member], get(s, "example"), get(s, "default")), get(s, "description")
		switch {
		case example == nil:
			return fmt.Errorf("%s: no case in testdata/api states %s; give it an example", name, member)
		case description == nil:
			return fmt.Errorf("%s: %s has no description of its own", name, member)
		}
		parameter := mapping(
			"name", text(member), "in", text("query"), "required", truth(slices.Contains(required, member)),
			"description", description, "schema", s, "example", example)
		if kind := get(s, "type"); kind != nil && kind.Value == "array" {
			set(parameter, "style", text("form"))
			set(parameter, "explode", truth(false))
		}
		all.Content = append(all.Content, parameter)
	}
	return nil
}

// stated returns what the cases of an operation, those of its POST first, say of each member.
func (b *bundler) stated(id string) (map[string]*yaml.Node, error) {
	stated := map[string]*yaml.Node{}
	for _, folder := range []string{"post" + calculation(id), id} {
		files, err := filepath.Glob(filepath.Join(b.cases, "api", folder, "*.request.json"))
		if err != nil {
			return nil, err
		}
		slices.SortStableFunc(files, func(a, _ string) int { // the example first
			if filepath.Base(a) == "example.request.json" {
				return -1
			}
			return 0
		})
		for _, file := range files {
			if strings.HasSuffix(file, "-problem.request.json") {
				continue
			}
			request, err := b.value(file)
			if err != nil {
				return nil, err
			}
			for member, value := range pairs(request) {
				if stated[member] == nil {
					stated[member] = value
				}
			}
		}
	}
	return stated, nil
}

// problems gives the error responses their examples: the problem documents that the marker x-problems names.
func (b *bundler) problems(responses *yaml.Node) error {
	for response, r := range pairs(responses) {
		codes := remove(r, problemsMarker)
		if codes == nil {
			continue
		}
		all := mapping()
		for _, code := range codes.Content {
			value, err := b.value(filepath.Join(b.cases, "problems", code.Value+".json"))
			if err != nil {
				return fmt.Errorf("%s: %w", response, err)
			}
			name := "Problem"
			for word := range strings.SplitSeq(code.Value, "_") {
				name += capital(word)
			}
			set(b.examples, name, mapping("summary", text(strings.ReplaceAll(code.Value, "_", " ")), "value", value))
			set(all, code.Value, ref("examples", name))
		}
		set(get(get(r, "content"), "application/problem+json"), "examples", all)
	}
	return nil
}

func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

// examplesOf returns references to the examples of an operation's requests and answer: its cases in testdata/api
// whose names begin with "example", or all that are no problems where none does. A GET shares the answer of its POST.
func (b *bundler) examplesOf(id string) (requests, answers *yaml.Node, err error) {
	requests, answers = mapping(), mapping()
	folder := filepath.Join(b.cases, "api", "post"+calculation(id))
	if _, err := os.Stat(folder); err != nil {
		folder = filepath.Join(b.cases, "api", id)
	}
	files, err := filepath.Glob(filepath.Join(folder, "*.request.json"))
	if err != nil {
		return nil, nil, err
	}
	var names []string
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".request.json")
		if !strings.HasSuffix(name, "-problem") {
			names = append(names, name)
		}
	}
	chosen := slices.DeleteFunc(
		slices.Clone(names),
		func(name string) bool { return !strings.HasPrefix(name, "example") },
	)
	if len(chosen) == 0 {
		chosen = names
	}
	for _, name := range chosen {
		if strings.HasPrefix(id, "post") {
			if err := b.example(requests, id, name, filepath.Join(folder, name+".request.json"),
				"Request"); err != nil {
				return nil, nil, err
			}
		}
		if name == "example" || !slices.Contains(chosen, "example") {
			if err := b.example(answers, id, name, filepath.Join(folder, name+".response.json"), "Answer"); err != nil {
				return nil, nil, err
			}
		}
	}
	return requests, answers, nil
}

// example adds a case to the examples of the bundle, once, and a reference to it to those of an operation.
func (b *bundler) example(to *yaml.Node, id, name, file, kind string) error {
	component := calculation(id)
	for word := range strings.SplitSeq(name, "-") {
		if word != "example" {
			component += capital(word)
		}
	}
	component += kind
	set(to, name, ref("examples", component))
	if get(b.examples, component) != nil {
		return nil
	}
	value, err := b.value(file)
	if err != nil {
		return err
	}
	summary := strings.ReplaceAll(name, "-", " ")
	set(b.examples, component, mapping("summary", text(summary), "value", value))
	return nil
}

// value reads a JSON file, which is YAML too, to be written on one line.
func (b *bundler) value(file string) (*yaml.Node, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var document yaml.Node
	if err := yaml.Unmarshal(data, &document); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if len(document.Content) != 1 {
		return nil, fmt.Errorf("%s is empty", file)
	}
	return document.Content[0], nil
}
