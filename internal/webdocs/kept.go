package webdocs

import (
	"context"
	"sync"
)

// gallery keeps the pages of the contract's example plans once they are audited.
type gallery struct {
	mu    sync.Mutex
	slots map[string]*slot // by the key of the request; no more than the contract has examples, in each language twice
}

// slot is one plan's page; whoever holds turn is auditing it.
type slot struct {
	turn chan struct{}
	page *file
}

func newGallery() *gallery { return &gallery{slots: map[string]*slot{}} }

func (g *gallery) slot(name string) *slot {
	g.mu.Lock()
	defer g.mu.Unlock()
	one := g.slots[name]
	if one == nil {
		one = &slot{turn: make(chan struct{}, 1)}
		g.slots[name] = one
	}
	return one
}

// get returns the kept page, or makes it: one caller at a time, each only as long as its own context lasts.
func (s *slot) get(ctx context.Context, build func() (*file, error)) (*file, error) {
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if s.page != nil {
		return s.page, nil
	}
	f, err := build()
	if err == nil {
		s.page = f
	}
	return f, err
}
