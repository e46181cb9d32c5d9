package store

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
)

// A list of cases has no movements by which a known case could be told from another
// patient under the same code. What is said of both tells it: codes such as 1 to 24
// stand in the list of any practice, its clinicians and months are its own.
//
// A case is another one where at least plainFacts of what both say disagree, and more
// than half. Where only half does, or the one thing that both say, that may well be a
// correction: manyDoubtful of such cases, and doubtfulShare of all that can be compared,
// are no chance.
const (
	plainFacts    = 2
	manyDoubtful  = 5
	doubtfulShare = 0.8
)

// fact is something said of a case that no treatment changes.
type fact struct {
	name string
	of   func(*casebook.Case) string // "" where nothing is said
	near func(old, now *casebook.Case) bool
}

// nearMonths is how far a month of one case may lie from that in another list: of the
// scan, the plan or the first aligner.
const nearMonths = 2

func near(a, b casebook.Month) bool { return max(a, b)-min(a, b) <= nearMonths }

func number(n casebook.Opt[int]) string {
	if !n.OK {
		return ""
	}
	return fmt.Sprint(n.Value)
}

// facts are what a later list of the same patients repeats. Status, refinements and wear
// are not among them: they go on.
var facts = []fact{
	{"clinician", func(c *casebook.Case) string { return c.Clinician }, nil},
	{"start month", func(c *casebook.Case) string {
		if c.Start == 0 {
			return ""
		}
		return c.Start.String()
	}, func(old, now *casebook.Case) bool { return near(old.Start, now.Start) }},
	{"end month", func(c *casebook.Case) string {
		if c.End == 0 {
			return ""
		}
		return c.End.String()
	}, func(old, now *casebook.Case) bool { return near(old.End, now.End) }},
	{"age", func(c *casebook.Case) string {
		if c.AgeBand != casebook.NoAgeBand {
			return c.AgeBand.String()
		}
		return c.Own.AgeBand
	}, nil},
	{"planned aligners", func(c *casebook.Case) string { return number(c.PlannedAligners) }, nil},
	{"days between aligners", func(c *casebook.Case) string { return number(c.ChangeDays) }, nil},
}

// apart compares what two records say of a case: how many facts both state, and which
// of them disagree.
func apart(old, now *casebook.Case) (both int, differ []string) {
	for _, f := range facts {
		was, is := f.of(old), f.of(now)
		if was == "" || is == "" {
			continue
		}
		if both++; was != is && (f.near == nil || !f.near(old, now)) {
			differ = append(differ, f.name)
		}
	}
	return both, differ
}

// strangers refuses a file whose cases are known here as quite other ones, by what both
// say of them. A case with a movement that stands is the same one. That the file seems to
// be a later version of an earlier one says nothing: the codes are what it repeats.
func (d *decider) strangers() error {
	agrees := d.agreeing()
	var plain, doubtful []int // of the cases of the file
	compared, differs := 0, map[string]int{}
	for i := range d.b.Cases {
		now := &d.b.Cases[i].Value
		held, stands := d.k.Cases[now.Key()]
		if !stands || agrees[now.Key()] || slices.Contains(d.c.Correct, now.ID) {
			continue
		}
		both, differ := apart(&held.Value, now)
		if both == 0 {
			continue
		}
		compared++
		switch n := len(differ); {
		case n >= plainFacts && 2*n > both:
			plain = append(plain, i)
		case n > 0 && 2*n >= both:
			doubtful = append(doubtful, i)
		default:
			continue
		}
		for _, name := range differ {
			differs[name]++
		}
	}
	others := append(slices.Clone(plain), doubtful...)
	many := len(others) >= manyDoubtful && float64(len(others)) >= doubtfulShare*float64(compared)
	if (len(plain) == 0 || 2*len(plain) < compared) && !many {
		return nil
	}
	slices.Sort(others)
	return d.strangersError(others, compared, differs)
}

// agreeing are the cases of the file with a movement that stands.
func (d *decider) agreeing() map[casebook.CaseKey]bool {
	out := map[casebook.CaseKey]bool{}
	for i := range d.b.Movements {
		m := &d.b.Movements[i].Value
		if held, ok := d.k.Movements[m.Key()]; ok && plannedOf(&held.Value) == plannedOf(m) {
			out[m.Case] = true
		}
	}
	return out
}

func (d *decider) strangersError(others []int, compared int, differs map[string]int) error {
	var places, what []string
	var cases []casebook.CaseKey
	for _, i := range others {
		r := &d.b.Cases[i]
		cases = append(cases, r.Value.Key())
		if len(places) < mostPlaces {
			places = append(places, fmt.Sprintf("sheet %s, row %d", r.Source.Sheet, r.Source.Row))
		}
	}
	if more := len(others) - len(places); more > 0 {
		places = append(places, fmt.Sprintf("%d more", more))
	}
	for _, f := range facts {
		if n := differs[f.name]; n > 0 {
			what = append(what, fmt.Sprintf("%s %d times", f.name, n))
		}
	}
	e := d.refused(Clash, d.b.Cases[others[0]].Source, "of %s known under the same pseudonym, %d differ%s in most of what the file and the records both say (%s): %s",
		are(compared, "a case that is", "cases that are"), len(others), singular(len(others)), strings.Join(what, ", "), strings.Join(places, "; "))
	e.Cases = cases
	e.Remedy = "If the cases are another practice's, give --practice CODE; if these are corrections of the same patients, give --correct CASE for each; nothing of this file was kept"
	return e
}

// singular is the ending of a verb.
func singular(n int) string {
	if n == 1 {
		return "s"
	}
	return ""
}
