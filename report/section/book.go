package section

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// Workbook makes the sheets of the results: a summary, the sheets of every question
// in order of reading, the quality of the data, settings and definitions. The sheet
// of a question that was not asked keeps its head: a reader then sees that there was
// nothing, not that it was left out.
func Workbook(r *results.Results) (*document.Document, error) {
	d, err := newDocument(r)
	if err != nil {
		return nil, err
	}
	m := newMaker(r)
	d.Sheets = append(d.Sheets, summarySheet(r))
	var facts []room.Fact
	for _, s := range r.Sections {
		its := room.Of(s.ID)
		if its.Sheets != nil {
			d.Sheets = append(d.Sheets, its.Sheets(m.Maker)...)
		}
		if its.Facts != nil {
			facts = append(facts, its.Facts(m.Maker)...)
		}
	}
	d.Sheets = append(d.Sheets, factSheet(r, facts), wordSheet(r), settingsSheet(r), definitionSheet(r))
	return d, d.Check()
}

// line is a row of a sheet of words.
type line struct {
	a, b, c string
	value   any
}

func summarySheet(r *results.Results) document.Sheet {
	rows := []line{
		{a: Title(r)},
		{a: KindOfStudy + ", " + wording.Period(r.Scope)},
		{a: wording.Capital(wording.Practices(r.Scope.Practices))},
	}
	if r.Provenance.Invented {
		rows = append(rows, line{a: "Invented data: every case, number and code is made up for demonstration."})
	}
	rows = append(rows,
		line{a: "Cases analysed", value: r.Scope.Cases}, line{a: "Planned movements analysed", value: r.Scope.Movements},
		line{a: "Teeth", value: r.Scope.Teeth}, line{a: "Clinicians", value: r.Scope.Clinicians})
	for _, f := range r.Findings {
		rows = append(rows, line{a: "Finding", b: wording.Sentence(f.Text), c: strings.TrimSpace(wording.Sentence(f.Limits) + " " + f.Action)})
	}
	for _, c := range r.Cautions {
		rows = append(rows, line{a: "Caution", b: wording.Sentence(c)})
	}
	return room.Sheet("summary", rows, []room.Field[line]{
		room.Head("what", 44, func(l line) any { return l.a }),
		room.Head("number", 12, func(l line) any { return l.value }),
		room.Head("text", 100, func(l line) any { return room.Text(l.b) }),
		room.Head("what it does not show, and what to ask", 100, func(l line) any { return room.Text(l.c) }),
	})
}

func factSheet(r *results.Results, facts []room.Fact) document.Sheet {
	for _, w := range r.Warnings {
		facts = append(facts, room.Fact{Topic: "warning", What: wording.Warning(w)})
	}
	return room.Sheet("data quality", facts, []room.Field[room.Fact]{
		room.Head("topic", 40, func(f room.Fact) any { return f.Topic }), room.Head("what", 60, func(f room.Fact) any { return f.What }), room.Head("value", 14, func(f room.Fact) any { return f.Value }),
	})
}

// wordSheet has the words of the sheets beside ours.
func wordSheet(r *results.Results) document.Sheet {
	type word = casebook.WordRead
	return room.Sheet("words", r.Provenance.Words, []room.Field[word]{
		room.Head("column", 24, func(w word) any { return w.Column }),
		room.Head("word of the sheet", 30, func(w word) any { return w.Said }),
		room.Head("read as", 24, func(w word) any { return w.Means }),
		room.Head("rows", 10, func(w word) any { return w.Rows }),
	})
}

func settingsSheet(r *results.Results) document.Sheet {
	rows := []line{{a: "Program", b: r.Provenance.Tool + " " + r.Provenance.Version}, {a: "Results schema", b: r.SchemaVersion}, {a: "Date of the audit", b: r.Provenance.Date}}
	for _, kv := range Settings(r) {
		rows = append(rows, line{a: kv[0], b: kv[1]})
	}
	for _, f := range r.Provenance.Inputs {
		rows = append(rows, line{a: "File " + f.Name, b: fmt.Sprintf("SHA-256 %s, %d bytes", f.SHA256, f.Size)})
	}
	return room.Sheet("settings", rows, []room.Field[line]{room.Head("setting", 46, func(l line) any { return l.a }), room.Head("value", 90, func(l line) any { return room.Text(l.b) })})
}

func definitionSheet(r *results.Results) document.Sheet {
	return room.Sheet("definitions", r.Definitions, []room.Field[results.Definition]{
		room.Head("term", 34, func(d results.Definition) any { return d.Term }), room.Head("definition", 100, func(d results.Definition) any { return d.Formula }), room.Head("source", 70, func(d results.Definition) any { return room.Text(d.Source) }),
	})
}
