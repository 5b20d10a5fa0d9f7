package bot

import "context"

// Object is a reply for programs.
type Object struct {
	Kind       Kind           `json:"kind"`
	Topic      string         `json:"topic"`
	Understood map[string]any `json:"understood"` // by the member of the contract, in its units
	Missing    []string       `json:"missing"`
	Unused     []string       `json:"unused"`
	Reply      string         `json:"reply"`
}

// Object answers a text as Reply does and tells what was understood.
func (a Answerer) Object(ctx context.Context, text string) (Object, error) {
	reply, err := a.Reply(ctx, text, true)
	if err != nil {
		return Object{}, err
	}
	u := reply.Question.Understanding()
	understood, err := a.UnderstoodNumbers(ctx, reply.Question)
	if err != nil {
		return Object{}, err
	}
	out := Object{
		Kind: u.Kind, Topic: u.Topic, Understood: understood, Missing: u.Missing, Unused: u.Unused,
		Reply: Render(reply, Plain, ForumLimit),
	}
	if out.Missing == nil {
		out.Missing = []string{}
	}
	if out.Unused == nil {
		out.Unused = []string{}
	}
	return out, nil
}
