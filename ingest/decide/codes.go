package decide

import (
	"fmt"
	"maps"
	"slices"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// spelled is a code of a case as a file writes it.
type spelled struct {
	times     int
	at        question.Question // where it stands first
	practices []string          // named beside it, in the order of the file
}

// decideCodes asks whether codes of cases that differ only by signs, spaces, capital
// letters or leading zeros are one patient's: a spreadsheet takes the zeros off 001, and
// #001 in one table is 001 in the next. One patient must not count as two, nor two as one.
// Nor may one clinician, of whom M.H. and mh are written.
func (r *File) decideCodes() {
	r.codes = map[columns.Field]map[string]string{}
	for _, f := range []columns.Field{columns.Case, columns.Clinician} {
		codes := r.spelledCodes(f)
		open := inSeveralWays(codes, skeletons[f])
		if len(open) > 0 && r.askCodes(f, open, codes) == "same" {
			r.codes[f] = standingFor(open, codes)
		}
	}
}

// skeletons are what is compared of the codes of a field. Initials are letters alone:
// stops between them part nothing.
var skeletons = map[columns.Field]func(string) string{columns.Case: values.Skeleton, columns.Clinician: values.Letters}

// inSeveralWays groups the codes that have one skeleton.
func inSeveralWays(codes map[string]*spelled, skeleton func(string) string) (open [][]string) {
	alike := map[string][]string{}
	for _, code := range slices.Sorted(maps.Keys(codes)) {
		if k := skeleton(code); k != "" {
			alike[k] = append(alike[k], code)
		}
	}
	for _, k := range slices.Sorted(maps.Keys(alike)) {
		for _, group := range withinPractices(alike[k], codes) {
			if len(group) > 1 {
				open = append(open, group)
			}
		}
	}
	return open
}

// standingFor gives for each other spelling the one that stands most often.
func standingFor(open [][]string, codes map[string]*spelled) map[string]string {
	out := map[string]string{}
	for _, group := range open {
		stands := slices.MaxFunc(group, func(a, b string) int { return codes[a].times - codes[b].times })
		for _, code := range group {
			if code != stands {
				out[code] = stands
			}
		}
	}
	return out
}

// spelledCodes collects the codes of a field of all tables.
func (r *File) spelledCodes(f columns.Field) map[string]*spelled {
	codes := map[string]*spelled{}
	for _, t := range r.Tables {
		col, practice := t.Find(f), t.Find(columns.Practice)
		if code := values.TypedCode(t.Constants[f]); code != "" && codes[code] == nil {
			codes[code] = &spelled{times: 1, at: question.Question{Sheet: t.Sheet.Name}}
		}
		if col == 0 {
			continue
		}
		var of *spelled // the row above
		var last, lastPractice sheet.Cell
		for _, row := range t.Sheet.Rows {
			c := row.At(col)
			if row.Number < t.Body || row.Broken || isExample(c) || c.Kind != sheet.String && c.Kind != sheet.Number {
				continue
			}
			p := row.At(practice)
			if of != nil && c == last && p == lastPractice { // rows of one case follow one another
				of.times++
				continue
			}
			last, lastPractice = c, p
			if of = r.spelledAt(codes, t, row, col); of != nil {
				of.note(p)
			}
		}
	}
	return codes
}

// spelledAt is the code of a row, nil where none stands there.
func (r *File) spelledAt(codes map[string]*spelled, t *layout.Table, row sheet.Row, col int) *spelled {
	c := row.At(col)
	code, _ := values.Code(c.Text, c.Kind == sheet.Number)
	s := codes[code]
	if s == nil {
		if values.IsMissing(c.Text, r.Missing) || values.IsTotal(c.Text) {
			return nil
		}
		s = &spelled{at: question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, col), Column: t.HeaderOf(col)}}
		codes[code] = s
	}
	return s
}

// note counts the code beside the name of a practice, which may be blank.
func (s *spelled) note(practice sheet.Cell) {
	s.times++
	name, _ := values.Code(practice.Text, practice.Kind == sheet.Number)
	if name != "" && !slices.Contains(s.practices, name) {
		s.practices = append(s.practices, name)
	}
}

// withinPractices parts codes by the practices that are named beside them: two practices
// may number alike. Codes without one go to the only practice there is.
func withinPractices(group []string, codes map[string]*spelled) [][]string {
	of, named := map[string][]string{}, []string{}
	for _, code := range group {
		for _, p := range codes[code].practices {
			if len(of[p]) == 0 {
				named = append(named, p)
			}
			of[p] = append(of[p], code)
		}
		if len(codes[code].practices) == 0 {
			of[""] = append(of[""], code)
		}
	}
	if len(named) == 1 {
		return [][]string{group}
	}
	out := [][]string{of[""]}
	for _, p := range named {
		out = append(out, of[p])
	}
	return out
}

func (r *File) askCodes(f columns.Field, open [][]string, codes map[string]*spelled) string {
	first := codes[open[0][0]].at
	for _, code := range open[0] {
		if at := codes[code].at; at.Cell != "" {
			first = at
		}
	}
	one, many := "patient", "patients"
	if f == columns.Clinician {
		one, many = "clinician", "clinicians"
	}
	q := first
	q.ID, q.Rule = f.String()+" codes", string(rules.QuestionOpen)
	q.Text = fmt.Sprintf("%d codes of %ss are written in several ways, which differ only by signs, spaces, capital letters or leading zeros, such as %s and %s: are they the same %s?",
		len(open), f, layout.MaskCode(open[0][0]), layout.MaskCode(open[0][1]), many)
	if len(open) == 1 {
		q.Text = fmt.Sprintf("a code of a %s is written in several ways, which differ only by signs, spaces, capital letters or leading zeros, %s and %s: is it the same %s?",
			f, layout.MaskCode(open[0][0]), layout.MaskCode(open[0][1]), one)
	}
	q.Choices = []question.Choice{
		{Word: "same", Text: "the same " + many + "; the spelling that stands most often is taken", Count: len(open)},
		{Word: "different", Text: "different " + many + ", each code one of its own", Count: len(open)},
	}
	q.Proposed = "same"
	return r.Asker.Ask(q)
}

// CodeOf is the code of a field in the form in which codes are compared, and in the
// spelling that stands for those that are one's.
func (r *File) CodeOf(f columns.Field, text string, number bool) (string, []values.CodeChange) {
	code, changes := values.Code(text, number)
	of := r.codes[f]
	for stands, ok := of[code]; ok; stands, ok = of[code] { // each stands more often than the one before, or before it in order
		code = stands
	}
	return code, changes
}
