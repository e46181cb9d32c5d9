// Package unseen makes invented identifiers of persons, and values of honest
// sheets that might be taken for some. It was written without sight of the
// screen, its lists and the corpus of package seeded, and from other cultures; words
// and names have no source, forms of numbers are common knowledge of their countries,
// and nobody is meant.
//
// Place in the pipeline: none; a test puts its items into workbooks.
package unseen

import (
	"math/rand/v2"
	"strings"

	"shortfall/ingest/privacy/seeded"
)

// Names of places as this corpus uses them.
const (
	caseCode  = seeded.InCase
	clinician = seeded.InClinician
	practice  = seeded.InPractice
	wear      = seeded.InWear
	status    = seeded.InStatus
	shape     = seeded.InShape
	ageBand   = seeded.InAgeBand
	month     = seeded.InMonth
	unread    = seeded.Unread
	title     = seeded.Above
	header    = seeded.InHeader
	sheetName = seeded.InSheetName
	comment   = seeded.InComment
)

// maker draws from one seed.
type maker struct {
	*rand.Rand
	names []string // family names in the text that is being made
}

func (m *maker) of(list ...string) string { return list[m.IntN(len(list))] }
func (m *maker) word(list string) string  { return m.of(strings.Fields(list)...) }
func (m *maker) between(a, b int) int     { return a + m.IntN(b-a+1) }

func (m *maker) digits(n int) string {
	var b strings.Builder
	for i := range n {
		if i == 0 {
			b.WriteByte(byte('1' + m.IntN(9)))
		} else {
			b.WriteByte(byte('0' + m.IntN(10)))
		}
	}
	return b.String()
}

// Identifiers gives n identifiers, each class about as often as any other.
func Identifiers(n int, seed uint64) []seeded.Value {
	m := &maker{Rand: rand.New(rand.NewPCG(seed, 0x5eed))}
	out := make([]seeded.Value, n)
	for i := range out {
		c := classes[i%len(classes)]
		m.names = nil
		text := c.text(m)
		v := seeded.Value{Class: c.name, Place: c.places[m.IntN(len(c.places))], Text: text, Needles: m.names}
		if strings.Trim(text, "0123456789") == "" && m.IntN(2) == 0 {
			v.Kind = seeded.Number
		}
		out[i] = v
	}
	return out
}

// Clean gives n values that identify nobody.
func Clean(n int, seed uint64) []seeded.Value {
	m := &maker{Rand: rand.New(rand.NewPCG(seed, 0xc1ea))}
	out := make([]seeded.Value, n)
	for i := range out {
		c := honest[i%len(honest)]
		out[i] = seeded.Value{Class: "clean", Place: c.place, Text: c.text(m)}
	}
	return out
}
