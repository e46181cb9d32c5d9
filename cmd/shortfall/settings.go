package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

var (
	notationWords  = []string{"fdi", "universal", "palmer"}
	notationValues = []casebook.Notation{casebook.FDI, casebook.Universal, casebook.Palmer}
)

// settingsFlags binds the settings of an audit to flags.
func settingsFlags(f *pflag.FlagSet, s *results.Settings) {
	f.StringVar(&s.Title, "title", s.Title, "title of the report")
	f.StringVar(&s.Date, "date", s.Date, "date printed, `YYYY-MM-DD`; default: month of the newest record")
	f.Var(choose(&s.Notation, notationWords, notationValues, "fdi"), "teeth", "notation in which teeth are shown")
	f.Var((*number)(&s.Level), "level", "confidence level of the intervals")
	f.Var((*number)(&s.ToleranceMM), "tolerance-mm", "largest acceptable shortfall or overshoot, `mm`")
	f.Var((*number)(&s.ToleranceDeg), "tolerance-deg", "the same for angles, `degrees`")
	f.Var((*number)(&s.SmallestMM), "smallest-mm", "plans below this stay out of ratios, `mm`")
	f.Var((*number)(&s.SmallestDeg), "smallest-deg", "the same for angles, `degrees`")
	f.Var(&primaryFlag{by: &s.Primary}, "primary", "comparison declared beforehand: extrusion/incisor/initial")
	f.Var(choose(&s.Multiplicity, []string{"benjamini-hochberg", "holm"}, []string{"benjamini-hochberg", "holm"}, s.Multiplicity),
		"multiplicity", "correction of the grid of comparisons")
	f.BoolVar(&s.Shared, "shared", s.Shared, "hide small cells, for a report that leaves the practice")
	f.Var((*number)(&s.EquivalencePoints), "equivalence-points", "styles this close are alike, `points` of expression")
	f.IntVar(&s.MinCellCases, "min-cases", s.MinCellCases, "with --shared, a cell of fewer cases is not shown")
	f.IntVar(&s.MinIntervalCases, "min-cases-interval", s.MinIntervalCases, "a cell of fewer cases has no interval")
}

// checkSettings turns a setting that makes no sense into an error of usage.
func checkSettings(s results.Settings) error {
	if s.Date != "" {
		if _, err := time.Parse(time.DateOnly, s.Date); err != nil {
			return usage("--date: not a date: expected YYYY-MM-DD")
		}
	}
	if err := s.Check(); err != nil {
		return usage("%v", err)
	}
	return nil
}

// primaryFlag reads "extrusion/incisor/initial": the names of a cell, in any
// order, of which one is a direction or an axis.
type primaryFlag struct {
	by   *results.By
	text string
}

func (p *primaryFlag) String() string { return p.text }
func (p *primaryFlag) Type() string   { return "movement/teeth/course" }

func (p *primaryFlag) Set(s string) error {
	var by results.By
	for _, part := range strings.Split(s, "/") {
		part = strings.TrimSpace(part)
		set, ok := primaryWords()[strings.ToLower(part)]
		if !ok {
			return fmt.Errorf("%q is not known: expected a direction or an axis and, where wanted, a tooth class, an arch and a course, separated by /%s",
				part, didYouMean(part, "", primaryNames()))
		}
		if !set(&by) {
			return fmt.Errorf("%q says twice what the comparison is about", part)
		}
	}
	if by.Direction == 0 && by.Axis == 0 {
		return errors.New("names no movement: begin with a direction or an axis, such as extrusion or rotation")
	}
	if by.Course == "" {
		by.Course = results.Initial
	}
	*p.by, p.text = by, s
	return nil
}

// primaryWords maps every word to what it sets; the setter refuses to set twice.
func primaryWords() map[string]func(*results.By) bool {
	words := map[string]func(*results.By) bool{}
	for _, a := range casebook.Axes() {
		words[a.String()] = func(b *results.By) bool {
			if b.Axis != 0 {
				return false
			}
			b.Axis = a
			return true
		}
	}
	for _, d := range casebook.Directions() {
		words[d.String()] = func(b *results.By) bool {
			if b.Axis != 0 {
				return false
			}
			b.Direction, b.Axis = d, d.Axis()
			return true
		}
	}
	for _, c := range casebook.ToothClasses() {
		words[c.String()] = func(b *results.By) bool { return setOnce(&b.ToothClass, c) }
	}
	for _, a := range casebook.Arches() {
		words[a.String()] = func(b *results.By) bool { return setOnce(&b.Arch, a) }
	}
	for _, c := range []results.CourseStratum{results.Initial, results.Refinement} {
		words[string(c)] = func(b *results.By) bool { return setOnce(&b.Course, c) }
	}
	return words
}

func setOnce[T comparable](target *T, v T) bool {
	var zero T
	if *target != zero {
		return false
	}
	*target = v
	return true
}

func primaryNames() []string {
	var names []string
	for n := range primaryWords() {
		names = append(names, n)
	}
	return sorted(names)
}
