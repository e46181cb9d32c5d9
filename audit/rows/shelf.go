package rows

import "sync"

// Shelf keeps what the readers of a Set use one after the other, memory above all, for as
// long as the Set lives. The Set itself does not change by it.
type Shelf struct {
	mu     sync.Mutex
	things []any
}

// Take gives something that was put, to one reader alone; nil where nothing is there.
func (s *Shelf) Take() any {
	s.mu.Lock()
	defer s.mu.Unlock()
	last := len(s.things) - 1
	if last < 0 {
		return nil
	}
	out := s.things[last]
	s.things = s.things[:last]
	return out
}

// Put leaves something for the next reader.
func (s *Shelf) Put(thing any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.things = append(s.things, thing)
}

// Notes keep what one reader of a Set found for others who ask for the same of it. A nil
// Notes keeps nothing.
type Notes struct{ found sync.Map }

// Keep notes what was found.
func (n *Notes) Keep(of, found any) {
	if n != nil {
		n.found.Store(of, found)
	}
}

// Found gives what was noted; nil where nothing was.
func (n *Notes) Found(of any) any {
	if n == nil {
		return nil
	}
	found, _ := n.found.Load(of)
	return found
}
