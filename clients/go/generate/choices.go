package main

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"

	"saltwright/internal/contract"
)

// choices are the types of members that take one of a list of words. Schemas that share a member with the same list
// share its type, named after the member; others are named after schema and member, or as the contract names them.
type choices struct {
	names map[string]string   // by schema.member
	lists map[string][]string // by name of type
	about map[string]string   // by name of type
}

// wordsOf are the words of a member, or of each item of its list.
func wordsOf(s *contract.Schema) *contract.Schema {
	for s.Type == "array" {
		s = s.Items
	}
	if s.Type != "string" || len(s.Enum) == 0 {
		return nil
	}
	return s
}

// choicesOf names the types. Errors: two things that would have one name in Go.
func choicesOf(schemas []*contract.Schema) (*choices, error) {
	c := &choices{map[string]string{}, map[string][]string{}, map[string]string{}}
	lists, users := map[string]map[string]bool{}, map[string]int{} // by member
	each := func(use func(s *contract.Schema, m *contract.Member, words *contract.Schema)) {
		for _, s := range schemas {
			for _, m := range s.Members {
				if words := wordsOf(m.Schema); words != nil && s.Type == "object" {
					use(s, m, words)
				}
			}
		}
	}
	each(func(_ *contract.Schema, m *contract.Member, words *contract.Schema) {
		if lists[m.Name] == nil {
			lists[m.Name] = map[string]bool{}
		}
		lists[m.Name][strings.Join(words.Enum, " ")] = true
		users[m.Name]++
	})
	each(func(s *contract.Schema, m *contract.Member, words *contract.Schema) {
		name := s.Name + goName(m.Name)
		switch {
		case words.Name != "":
			name = words.Name
		case len(lists[m.Name]) == 1 && users[m.Name] > 1:
			name = goName(m.Name)
		}
		c.names[s.Name+"."+m.Name], c.lists[name] = name, words.Enum
		if c.about[name] == "" {
			c.about[name] = words.Description
		}
	})
	return c, c.check(schemas)
}

// check refuses names that would be declared twice.
func (c *choices) check(schemas []*contract.Schema) error {
	declared := map[string]string{}
	declare := func(name, by string) error {
		if before, twice := declared[name]; twice {
			return fmt.Errorf("%s would be declared by %s and by %s", name, before, by)
		}
		declared[name] = by
		return nil
	}
	for _, s := range schemas {
		if s.Type == "object" {
			if err := declare(s.Name, "schema "+s.Name); err != nil {
				return err
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(c.lists)) {
		if err := declare(name, "choices "+name); err != nil {
			return err
		}
		for _, word := range c.lists[name] {
			if err := declare(name+goName(word), "the choice "+word+" of "+name); err != nil {
				return err
			}
		}
	}
	return nil
}

// goType is the type of a member of a schema.
func (c *choices) goType(s *contract.Schema, m *contract.Member) string {
	kind := goType(m.Schema)
	if name, ok := c.names[s.Name+"."+m.Name]; ok {
		return strings.TrimSuffix(kind, "string") + name
	}
	return kind
}

// write writes the types and their constants. Each is a string, so that an answer may hold a word of a later contract.
func (c *choices) write(b *bytes.Buffer) {
	for _, name := range slices.Sorted(maps.Keys(c.lists)) {
		comment(b, name+" is: "+c.about[name])
		fmt.Fprintf(b, "type %s string\n\n", name)
		fmt.Fprintf(b, "// What %s may be; an answer of a later contract may know more.\nconst (\n", name)
		for _, word := range c.lists[name] {
			fmt.Fprintf(b, "%s %s = %q\n", name+goName(word), name, word)
		}
		b.WriteString(")\n\n")
	}
}
