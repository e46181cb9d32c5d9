package between

import (
	"shortfall/audit/rows"
)

// What every case has on record lies in the log, far apart, and each cell asks for it: it is
// found once, by name, and stands side by side (see BenchmarkOfCases).
type (
	wordsOfCases   string
	numbersOfCases string
	number         struct {
		value float64
		known bool
	}
)

// wordOfCase gives the word of a row's case.
func wordOfCase(p *rows.Set, name string, of func(*rows.Row) int) func(*rows.Row) int {
	list, found := p.Notes.Found(wordsOfCases(name)).([]int32)
	if !found {
		list = make([]int32, len(p.Cases))
		for k := range list {
			list[k] = int32(of(&rows.Row{Cluster: k}))
		}
		p.Notes.Keep(wordsOfCases(name), list)
	}
	return func(r *rows.Row) int { return int(list[r.Cluster]) }
}

// numberOfCase is wordOfCase for numbers.
func numberOfCase(p *rows.Set, name string, of func(*rows.Row) (float64, bool)) func(*rows.Row) (float64, bool) {
	list, found := p.Notes.Found(numbersOfCases(name)).([]number)
	if !found {
		list = make([]number, len(p.Cases))
		for k := range list {
			list[k].value, list[k].known = of(&rows.Row{Cluster: k})
		}
		p.Notes.Keep(numbersOfCases(name), list)
	}
	return func(r *rows.Row) (float64, bool) { n := &list[r.Cluster]; return n.value, n.known }
}

// changeDays are the days between aligners.
func changeDays(p *rows.Set) func(*rows.Row) (float64, bool) {
	return numberOfCase(p, "change interval", func(r *rows.Row) (float64, bool) {
		d := p.Log(r).ChangeDays
		return float64(d.Value), d.OK
	})
}

// numbered gives words numbers from 1, as they come.
func numbered(words map[string]int, word string) int {
	if _, known := words[word]; !known {
		words[word] = len(words) + 1
	}
	return words[word]
}

// asMet gives codes numbers from 1 as they are met among the rows that are asked about; 0
// stays.
func asMet(code func(*rows.Row) int) func(*rows.Row) int {
	as, met := []int{0}, 0
	return func(r *rows.Row) int {
		c := code(r)
		if c >= len(as) {
			as = append(as, make([]int, c+1-len(as))...)
		}
		if as[c] == 0 && c > 0 {
			met++
			as[c] = met
		}
		return as[c]
	}
}
