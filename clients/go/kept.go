package saltwright

import (
	"container/list"
	"sync"
)

// kept holds the newest answers to GET with their tags, so that an unchanged one is not sent again.
type kept struct {
	most int

	mu     sync.Mutex
	places map[string]*list.Element
	order  list.List // of keptAnswer, the one that was used last in front
}

type keptAnswer struct {
	question, tag string
	body          []byte
}

func newKept(most int) *kept { return &kept{most: most, places: map[string]*list.Element{}} }

// find returns the answer that is kept of a question; a nil store keeps none.
func (k *kept) find(question string) keptAnswer {
	if k == nil {
		return keptAnswer{}
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	at, ok := k.places[question]
	if !ok {
		return keptAnswer{}
	}
	k.order.MoveToFront(at)
	return at.Value.(keptAnswer)
}

// keep keeps an answer in the place of the one to the same question, or of the one that was not used for longest.
func (k *kept) keep(a keptAnswer) {
	if k == nil || a.tag == "" {
		return
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if at, ok := k.places[a.question]; ok {
		k.order.Remove(at)
	}
	k.places[a.question] = k.order.PushFront(a)
	for k.order.Len() > k.most {
		oldest := k.order.Remove(k.order.Back()).(keptAnswer)
		delete(k.places, oldest.question)
	}
}
