package mapping

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/values"
)

// check looks at the values of a file whose keys are all known.
func (f *File) check() []string {
	var out []string
	bad := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	choice := func(where, v string, allowed ...string) {
		if v == "" || slices.Contains(allowed, v) {
			return
		}
		bad("%s: %q is not allowed; %s", where, v, suggest(v, allowed))
	}
	if f.Version != Version {
		bad("version: this program reads version %d; write version = %d in the first line", Version, Version)
	}
	choice("[file] notation", f.File.Notation, "fdi", "universal", "palmer")
	choice("[file] decimal", f.File.Decimal, ".", ",")
	choice("[file] dates", f.File.Dates, "day first", "month first")
	choice("[file] amounts", f.File.Amounts, "signed", "sizes")
	choice("[file] planned", f.File.Planned, "movement", "end position")
	choice("[file] achieved", f.File.Achieved, "movement", "residual", "end position")
	choice("[file] blank_attachment", f.File.BlankStyle, "none", "not recorded")
	choice("[file] percent", f.File.Percent, "percent", "fraction")
	f.checkWords(bad)
	for _, axis := range slices.Sorted(maps.Keys(f.Positive)) {
		a, err := casebook.ParseAxis(axis)
		if err != nil {
			bad("[positive] %q: %s", axis, suggest(axis, names(casebook.Axes())))
		} else if _, _, err := f.PositiveOf(a); err != nil {
			bad("[positive] %q: %s", axis, suggest(f.Positive[axis], names(casebook.Directions())))
		}
	}
	described := map[string]bool{}
	for i := range f.Sheets {
		f.Sheets[i].check(bad, choice)
		if name := f.Sheets[i].Name; described[name] && name != "" {
			bad("[[sheet]] %q stands twice; a section describes one table, so move the other table to a sheet of its own, or leave the sections out: tables below each other are read by their titles", name)
		}
		described[f.Sheets[i].Name] = true
	}
	for _, w := range f.Waivers {
		if _, ok := rules.Find(rules.ID(w.Rule)); !ok {
			bad("[[waiver]] rule %q is not in the catalogue; %s", w.Rule, suggest(w.Rule, ruleIDs()))
		}
		if strings.TrimSpace(w.Reason) == "" {
			bad("[[waiver]] of rule %q has no reason; say why the finding is accepted", w.Rule)
		}
	}
	return out
}

// readable says for each field with words whether the program knows a word.
var readable = map[columns.Field]func(string) error{
	columns.Style:       known(values.ParseStyle),
	columns.Shape:       known(values.ParseShape),
	columns.Orientation: known(values.ParseOrientation),
	columns.Staging:     known(values.ParseStaging),
	columns.Status:      known(values.ParseStatus),
	columns.Wear:        known(values.ParseWear),
	columns.AgeBand:     known(values.ParseAgeBand),
	columns.Lost:        known(values.ParseYesNo),
	columns.Course:      known(values.ParseCourse),
	columns.Unit:        known(values.ParseUnit),
	columns.Axis:        func(s string) error { _, _, err := values.ParseAxis(s); return err },
	columns.Direction:   func(s string) error { _, err := casebook.ParseDirection(s); return err },
}

func known[E any](parse func(string) (E, error)) func(string) error {
	return func(s string) error { _, err := parse(s); return err }
}

func (f *File) checkWords(bad func(string, ...any)) {
	for _, name := range slices.Sorted(maps.Keys(f.Words)) {
		fld, err := columns.ParseField(name)
		parse := readable[fld]
		if columns.IsPlain(fld) {
			parse = known(func(s string) (string, error) { return values.ParsePlain(fld, s) })
		}
		if err != nil || parse == nil {
			bad("[words] %q: %s", name, suggest(name, wordFields()))
			continue
		}
		meant := map[string]string{} // by the word as sheets are compared with it
		for _, from := range slices.Sorted(maps.Keys(f.Words[name])) {
			to, key := f.Words[name][from], values.Key(from)
			if parse(to) != nil {
				bad("[words.%s] %q = %q: %s", name, from, to, suggest(to, wordsOf(fld)))
			}
			if before, twice := meant[key]; twice && before != to {
				bad("[words.%s] %q is a word already, and means %q; keep one of the two", name, from, before)
			}
			meant[key] = to
		}
	}
}

func (s *Sheet) check(bad func(string, ...any), choice func(string, string, ...string)) {
	where := fmt.Sprintf("[[sheet]] %q", s.Name)
	if s.Name == "" {
		bad("[[sheet]] has no name; write name = \"*\" for every sheet")
	}
	choice(where+" kind", s.Kind, append(names(casebook.Kinds()), Ignore)...)
	choice(where+" case", s.Case, "sheet name")
	if s.Header < 0 || s.HeaderRows < 0 || s.HeaderRows > 2 {
		bad("%s: header is the number of a row, header_rows is 1 or 2", where)
	}
	fields := names(columns.Fields())
	for _, header := range slices.Sorted(maps.Keys(s.Columns)) {
		if v := s.Columns[header]; v != Ignore && !holds(v) {
			bad("%s columns %q: there is no field %q; %s", where, header, v, suggest(v, append(fields, Ignore)))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(s.Constants)) {
		if !slices.Contains(fields, name) {
			bad("%s constants: there is no field %q; %s", where, name, suggest(name, fields))
		}
	}
	for _, p := range s.Movements {
		if _, _, err := values.ParseAxis(p.Axis); p.Axis != "" && err != nil {
			bad("%s movement: %q is no axis; %s", where, p.Axis, suggest(p.Axis, names(casebook.Axes())))
		}
		if p.Planned == "" {
			bad("%s movement: planned names no column", where)
		} else if p.Planned == p.Achieved || p.Planned == p.Percent || p.Achieved != "" && p.Achieved == p.Percent {
			bad("%s movement: %q stands in it twice; what was planned and what came of it are two columns", where, cmp.Or(p.Achieved, p.Percent))
		}
	}
}

func holds(v string) bool { _, ok := ParseHolds(v); return ok }

func suggest(s string, allowed []string) string {
	if near := values.Nearest(s, allowed); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return "expected one of " + strings.Join(allowed, ", ")
}

func names[E interface{ String() string }](all []E) []string {
	out := make([]string, len(all))
	for i, v := range all {
		out[i] = v.String()
	}
	return out
}

func wordFields() []string {
	var out []string
	for f := range readable {
		out = append(out, f.String())
	}
	slices.Sort(out)
	return out
}

// wordsOf lists the canonical words of a field.
func wordsOf(f columns.Field) []string {
	for _, k := range casebook.Kinds() {
		if d, ok := columns.Find(k, f); ok {
			return d.Words
		}
	}
	return nil
}

func ruleIDs() []string {
	var out []string
	for _, r := range rules.All() {
		out = append(out, string(r.ID))
	}
	return out
}
