package store

import (
	"fmt"
	"maps"
	"slices"

	"shortfall/ingest/casebook"
)

// holdings are the practices that the database holds already.
type holdings struct {
	all []string            // every practice, "" for the unnamed one
	of  map[string][]string // by pseudonym
}

// settlePractices settles the practice of every record that its file left open, in this
// order: the one that the other files of the command name for the pseudonym,
// the one chosen, the only one that holds the pseudonym already, the only one
// that the file names at all, and the unnamed practice where nothing has a name
// yet. Anything else is asked: the error names the first row. undo leaves them open
// again: what is asked may be answered with another practice.
func settlePractices(b *casebook.Batch, c Choices, h holdings, path string) (undo func(), err error) {
	p := &placer{choices: c, holdings: h, path: path, beside: map[string][]string{}, settled: map[string]string{}}
	for _, k := range c.Beside {
		if k.Practice != "" && !slices.Contains(p.beside[k.ID], k.Practice) {
			p.beside[k.ID] = append(p.beside[k.ID], k.Practice)
		}
	}
	p.named = Named(b)
	undo = func() {
		for _, practice := range p.filled {
			*practice = ""
		}
	}
	eachKey(b, func(id, practice *string, at casebook.Source) {
		if err == nil {
			err = p.one(*id, practice, at)
		}
	})
	return undo, err
}

// LeavesOpen reports whether the file leaves the practice of a case to be settled.
func LeavesOpen(b *casebook.Batch) (open bool) {
	eachKey(b, func(_, practice *string, _ casebook.Source) { open = open || *practice == "" })
	return open
}

// Named lists the practices that the file names.
func Named(b *casebook.Batch) []string {
	seen := map[string]bool{}
	eachKey(b, func(_, practice *string, _ casebook.Source) { seen[*practice] = true })
	delete(seen, "")
	return slices.Sorted(maps.Keys(seen))
}

type placer struct {
	choices  Choices
	holdings holdings
	path     string
	beside   map[string][]string
	named    []string
	settled  map[string]string
	filled   []*string // practices that were open
}

func (p *placer) one(id string, practice *string, at casebook.Source) error {
	if *practice != "" {
		return nil
	}
	of, done := p.settled[id]
	if !done {
		var ok bool
		if of, ok = p.find(id); !ok {
			return p.open(id, at)
		}
		p.settled[id] = of
	}
	if of != "" {
		*practice = of
		p.filled = append(p.filled, practice)
	}
	return nil
}

func (p *placer) find(id string) (string, bool) {
	unnamed := !slices.ContainsFunc(p.holdings.all, func(s string) bool { return s != "" })
	switch {
	case len(p.beside[id]) == 1:
		return p.beside[id][0], true
	case len(p.beside[id]) > 1:
		return "", false
	case p.choices.Practice != "":
		return p.choices.Practice, true
	case len(p.holdings.of[id]) == 1:
		return p.holdings.of[id][0], true
	case len(p.holdings.of[id]) > 1:
		return "", false
	case len(p.named) == 1:
		return p.named[0], true
	case len(p.named) == 0 && unnamed:
		return "", true
	}
	return "", false
}

// open asks for the practice. A pseudonym is not repeated: it may be a name.
func (p *placer) open(id string, at casebook.Source) error {
	message := "the practice of the case cannot be told"
	if n := max(len(p.holdings.of[id]), len(p.beside[id])); n > 1 {
		message = fmt.Sprintf("%d practices have a case of this pseudonym, and the file does not say which is meant", n)
	}
	e := Refuse(PracticeOpen, p.path, at.Sheet, at.Row, "%s", message)
	e.Remedy = "Give --practice CODE, or write the practice in a column \"practice\"; nothing of this file was kept"
	return e
}
