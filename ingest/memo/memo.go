// Package memo remembers what a pure function of a short text gave. A sheet says
// the same few words thousands of times, and what they mean is asked of each cell
// by several readers in turn.
//
// What is remembered is in memory only, a bounded number of texts, and is never written.
//
// Place in the pipeline: below lexicon and layout; imports nothing of the project.
package memo

import "sync"

// Most texts that are remembered; beyond it all are forgotten, so that a sheet of
// texts that never come again costs no more memory than this many.
const Most = 8192

// Memo is safe for concurrent use; its zero value is empty.
type Memo[K comparable, V any] struct {
	mu    sync.RWMutex
	known map[K]V
}

// Get gives what is known of k, or what find gives, which must depend on nothing
// but k. Callers share the value and must not write to what it points to.
func (m *Memo[K, V]) Get(k K, find func(K) V) V {
	m.mu.RLock()
	v, ok := m.known[k]
	m.mu.RUnlock()
	if ok {
		return v
	}
	v = find(k)
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.known == nil || len(m.known) >= Most {
		m.known = map[K]V{}
	}
	m.known[k] = v
	return v
}

// Numbered remembers what a pure function gave for texts that have numbers, as the cells of
// a sheet have: a look into a list and not into a map. It is for one goroutine.
type Numbered[V any] struct {
	find  func(text string) V
	pages []*[Page]numbered[V]
	free  int // pages that may still be made
}

type numbered[V any] struct {
	value V
	ok    bool
}

// Numbers of the few texts of a column lie together, mostly: of the others no page is made. Of
// a column of texts that never come again no more than so many are remembered.
const (
	Page      = 1 << 8
	MostPages = 1 << 10
)

// ByNumber remembers what find gives.
func ByNumber[V any](find func(text string) V) *Numbered[V] {
	return &Numbered[V]{find: find, free: MostPages}
}

// Get gives what find gives for the text of a number, where that is not 0.
func (m *Numbered[V]) Get(number uint32, text string) V {
	if number == 0 {
		return m.find(text)
	}
	if at := int(number / Page); at >= len(m.pages) || m.pages[at] == nil {
		if m.free == 0 {
			return m.find(text)
		}
		m.add(at)
	}
	k := &m.pages[number/Page][number%Page]
	if !k.ok {
		k.value, k.ok = m.find(text), true
	}
	return k.value
}

func (m *Numbered[V]) add(at int) {
	if n := at + 1; n > len(m.pages) {
		m.pages = append(m.pages, make([]*[Page]numbered[V], n-len(m.pages))...)
	}
	m.pages[at] = new([Page]numbered[V])
	m.free--
}
