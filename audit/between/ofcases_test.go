package between

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// ofLog is a set of cases, some of them not logged, whose rows lie case by case. Invented.
func ofLog(cases int) *rows.Set {
	rng := rand.New(rand.NewPCG(1, 12))
	p := &rows.Set{Notes: new(rows.Notes), Cases: make([]rows.Patient, cases)}
	log := make([]casebook.Case, cases)
	for k := range log {
		log[k].Start = casebook.Month(rng.IntN(40))
		log[k].Own.Wear = []string{"", "well", "so so"}[rng.IntN(3)]
		if p.Cases[k].Key.Practice = []string{"P1", "P2"}[rng.IntN(2)]; k%7 > 0 {
			p.Cases[k].Log = &log[k]
		}
		for range 1 + rng.IntN(6) {
			p.Analysed = append(p.Analysed, rows.Row{Cluster: k, Planned: 1})
		}
	}
	return p
}

func startOf(p *rows.Set) func(*rows.Row) (float64, bool) {
	return func(r *rows.Row) (float64, bool) { m := p.Log(r).Start; return float64(m), m != 0 }
}

// TestOfCases: what is found once is what the log has, for every row, asked again too, and
// under another name it is another thing; words are numbered as the rows at hand meet them.
func TestOfCases(t *testing.T) {
	p := ofLog(200)
	start := startOf(p)
	for range 2 {
		for name, of := range map[string]func(*rows.Row) (float64, bool){
			"start":            start,
			"months after two": func(r *rows.Row) (float64, bool) { v, ok := start(r); return v - 2, ok },
		} {
			noted := numberOfCase(p, name, of)
			for i := range p.Analysed {
				want, known := of(&p.Analysed[i])
				got, ok := noted(&p.Analysed[i])
				assert.Equal(t, known, ok)
				assert.InDelta(t, want, got, 0)
			}
		}
	}
	words := map[string]int{}
	wear := wordOfCase(p, "wear", func(r *rows.Row) int {
		if w := p.Log(r).Own.Wear; w != "" {
			return numbered(words, w)
		}
		return 0
	})
	for from := range 40 {
		met, own := asMet(wear), map[string]int{"": 0}
		for i := from; i < len(p.Analysed); i++ {
			w := p.Log(&p.Analysed[i]).Own.Wear
			if _, known := own[w]; !known {
				own[w] = len(own)
			}
			assert.Equal(t, own[w], met(&p.Analysed[i]))
		}
	}
}

// BenchmarkOfCases sets numbers of cases found once against those looked up in the log, case
// by case.
func BenchmarkOfCases(b *testing.B) {
	p := ofLog(20000)
	noted, last, value, known := numberOfCase(p, "start", startOf(p)), -1, 0.0, false
	for name, of := range map[string]func(*rows.Row) (float64, bool){"once": noted, "log": func(r *rows.Row) (float64, bool) {
		if r.Cluster != last {
			last = r.Cluster
			value, known = startOf(p)(r)
		}
		return value, known
	}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				for i := range p.Analysed {
					of(&p.Analysed[i])
				}
			}
		})
	}
}
