package webdocs

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"saltwright/internal/contract"
	"saltwright/internal/drawing"
	"saltwright/internal/phrase"
)

// specimen is one example plan of the contract.
type specimen struct {
	Name, Title, Family string
	Sound               bool // the one that its family's others are compared with
	Differs             []difference
	document            string
	value               any
	sound               *specimen // of its family; nil for the sound one itself and where there is none
}

// difference is one member in which a plan departs from the sound one of its family.
type difference struct {
	Where, Sound, Here string
	part               string // the id of the part that it is about; empty where it is about none
}

const auditPath = "/v1/plan-audit"

// specimensOf lists the named request examples of the audit, each compared with the sound one of its family
// that is nearest to it.
func specimensOf(c *contract.Contract, voice *phrase.Voice) ([]*specimen, error) {
	x := calculatorNamed(c, strings.TrimPrefix(auditPath, "/v1/"), voice)
	if x == nil {
		return nil, fmt.Errorf("webdocs: the contract has no %s", auditPath)
	}
	var out, sound []*specimen
	for _, e := range x.post.Examples {
		one := &specimen{Name: strings.TrimPrefix(e.Name, "example-"), document: pretty(e.Value)}
		if one.Name == "example" {
			one.Name, one.Title = "bare-minimum", voice.Say("bare_minimum")
		} else {
			one.Title = voice.Say("specimen_" + strings.ReplaceAll(one.Name, "-", "_"))
		}
		v, err := decode([]byte(one.document))
		if err != nil {
			return nil, err
		}
		one.value = v
		one.Family, _, _ = strings.Cut(one.Name, "-")
		if strings.HasSuffix(one.Name, "-sound") {
			one.Sound, sound = true, append(sound, one)
		}
		out = append(out, one)
	}
	for _, one := range out {
		for _, base := range sound {
			if one.Sound || base.Family != one.Family {
				continue
			}
			apart := differences(x, x.post.Body, base.value, one.value, nil)
			if one.sound == nil || len(apart) < len(one.Differs) {
				one.sound, one.Differs = base, apart
			}
		}
	}
	return out, nil
}

// differences lists the leaves that two documents do not share; items of lists are told apart by their ids.
func differences(x *calculator, s *contract.Schema, sound, here any, path []string) []difference {
	if a, ok := sound.(object); ok {
		if b, ok := here.(object); ok {
			var out []difference
			for _, key := range keysOf(a, b) {
				if len(path) == 0 && key == "name" || key == "id" {
					continue
				}
				ms := &contract.Schema{}
				if m := s.Member(key); m != nil {
					ms = m.Schema
				}
				below := append(slices.Clone(path), x.memberName(key, ms))
				out = append(out, differences(x, ms, a.get(key), b.get(key), below)...)
			}
			return out
		}
	}
	a, b := byID(sound), byID(here)
	if s.Items != nil && len(a)+len(b) > 0 {
		var out []difference
		for _, id := range keysOf(a, b) {
			switch where := strings.Join(append(slices.Clone(path), id), ", "); {
			case b.get(id) == nil:
				out = append(out,
					difference{where, x.voice.Say("difference_there"), x.voice.Say("difference_left_out"), id})
				continue
			case a.get(id) == nil:
				out = append(out,
					difference{where, x.voice.Say("difference_not_there"), x.voice.Say("difference_added"), id})
				continue
			}
			below := differences(x, s.Items, a.get(id), b.get(id), append(slices.Clone(path), id))
			for i := range below {
				below[i].part = id
			}
			out = append(out, below...)
		}
		return out
	}
	if scalarText(x.voice, sound) == scalarText(x.voice, here) {
		return nil
	}
	show := func(v any) string {
		if v == nil {
			return x.voice.Say("not_stated")
		}
		return withUnit(x.scalar(v, s), s.Unit)
	}
	return []difference{{strings.Join(path, ", "), show(sound), show(here), path[0]}}
}

func keysOf(a, b object) []string {
	var keys []string
	for _, p := range append(slices.Clone(a), b...) {
		if !slices.Contains(keys, p.key) {
			keys = append(keys, p.key)
		}
	}
	return keys
}

// byID is a list of elements as an object with their ids for keys.
func byID(v any) object {
	list, _ := v.([]any)
	var out object
	for _, item := range list {
		if o, ok := item.(object); ok && o.text("id") != "" {
			out = append(out, pair{o.text("id"), o})
		}
	}
	return out
}

// drawn is the sound plan and this one, with the parts marked in which they differ; empty where a part that is drawn
// does not tell them apart.
func (one *specimen) drawn(v *phrase.Voice) (sound, here template.HTML, err error) {
	if one.sound == nil {
		return "", "", nil
	}
	var parts []string
	for _, d := range one.Differs {
		parts = append(parts, d.part)
	}
	picture := func(of *specimen, means string) (template.HTML, error) {
		document, err := readPlan(v, []byte(of.document))
		if err != nil {
			return "", err
		}
		return drawing.Of(document, v).Figure(drawing.Shown{Marked: parts, Means: means,
			Title: v.Say("drawing_of_specimen", "plan", of.Title)}), nil
	}
	if sound, err = picture(one.sound, v.Say("drawing_marked_sound")); err != nil {
		return "", "", err
	}
	here, err = picture(one, v.Say("drawing_marked_here"))
	return sound, here, err
}
