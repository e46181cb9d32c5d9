package ingest

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it was a fifth of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// fixture is one file of testdata/files with what must come of it. The prefix
// of the name tells the writer: op openpyxl, lo LibreOffice, gn Gnumeric, r
// R's openxlsx, xml and csv by hand (testdata/make). Warnings and errors are listed in full as
// rule@sheet!cell, or rule@sheet/row where there is no cell; notes are checked
// only where listed.
type fixture struct {
	file    string
	want    *records // nil: refused as a whole
	found   string
	mapping string
	answers string // "id=choice; id=choice"
}

var (
	flatSet = standard.without(isRepeat)
	no13    = little.without(first13)
)

func TestFixtures(t *testing.T) {
	for _, f := range slices.Concat(cleanFixtures, valueFixtures, layoutFixtures, recordFixtures, hostileFixtures, mappedFixtures) {
		t.Run(f.file, func(t *testing.T) { f.run(t) })
	}
}

// fixtureReads are the readings of fixtures so far, by all that they depend on: two tests
// look at each.
var fixtureReads = map[[3]string]fixtureRead{}

type fixtureRead struct {
	batch *Batch
	err   error
}

// read reads a fixture once.
func (f fixture) read(t *testing.T) (*Batch, error) {
	key := [3]string{f.file, f.mapping, f.answers}
	r, ok := fixtureReads[key]
	if !ok {
		r.batch, r.err = f.readAnew(t)
		fixtureReads[key] = r
	}
	return r.batch, r.err
}

func (f fixture) readAnew(t *testing.T) (*Batch, error) {
	o := Options{}
	if f.mapping != "" {
		m, err := mapping.Parse("map.toml", []byte("version = 1\n"+f.mapping))
		require.NoError(t, err)
		o.Mapping = m
	}
	o.Answers = answersOf(f.answers)
	b, err := Read(t.Context(), filepath.Join("testdata", "files", f.file), o)
	if open := openOf(err); len(open) > 0 && !slices.ContainsFunc(open, func(q question.Question) bool { return q.Group == nil || q.Group.ID != "positive" }) {
		// The fixtures are in our own signs, which those with headers of their own are asked about.
		o.Answers["positive"] = "usual"
		b, err = Read(t.Context(), filepath.Join("testdata", "files", f.file), o)
	}
	return b, err
}

func (f fixture) run(t *testing.T) {
	b, err := f.read(t)
	problems := Problems(err)
	if err == nil {
		problems = b.Problems
		for _, s := range b.Sheets {
			assert.True(t, s.Balanced(), "%+v", s)
		}
		assert.Equal(t, b.Counts().Rejected, len(b.Rejected))
	}
	for _, p := range problems {
		assert.Equal(t, f.file, p.File, "%+v", p)
		assert.NotEmpty(t, p.Message)
		assert.NotEmpty(t, p.Remedy)
	}
	if f.want == nil {
		require.Error(t, err)
		assert.NotEmpty(t, problems)
	} else if assert.NoError(t, err) {
		sameRecords(t, *f.want, recordsOf(b), f.file)
	}
	assert.Equal(t, strings.Fields(f.found), listed(problems), "problems")
}

// answersOf reads "id=choice; id=choice".
func answersOf(s string) question.Answers {
	out := question.Answers{}
	for part := range strings.SplitSeq(s, ";") {
		if id, word, err := question.Parse(part); err == nil {
			out[id] = word
		}
	}
	return out
}

// listed writes warnings and errors as rule@sheet!cell.
func listed(problems []Problem) []string {
	out := []string{}
	for _, p := range problems {
		if p.Severity == Info || p.Rule == "style-not-found" { // has a test of its own
			continue
		}
		s := p.Rule + "@" + p.Sheet
		switch {
		case p.Cell != "":
			s += "!" + p.Cell
		case p.Row > 0:
			s += fmt.Sprint("/", p.Row)
		}
		out = append(out, s)
	}
	return out
}

// Every file of the folder has its line in the table: none is made and forgotten.
func TestEveryFixtureIsListed(t *testing.T) {
	known := map[string]bool{}
	for _, f := range slices.Concat(cleanFixtures, valueFixtures, layoutFixtures, recordFixtures, hostileFixtures, mappedFixtures) {
		known[f.file] = true
	}
	files, err := os.ReadDir(filepath.Join("testdata", "files"))
	require.NoError(t, err)
	writers := map[string]bool{}
	for _, f := range files {
		assert.True(t, known[f.Name()], f.Name())
		writers[strings.SplitN(f.Name(), "-", 2)[0]] = true
	}
	assert.GreaterOrEqual(t, len(files), 60)
	assert.GreaterOrEqual(t, len(writers), 4)
}

// The same records, however they were written.
var cleanFixtures = []fixture{
	{file: "op-clean.xlsx", want: &standard},
	{file: "lo-clean.xlsx", want: &standard},
	{file: "gn-clean.xlsx", want: &standard},
	{file: "r-clean.xlsx", want: &standard},
	{file: "op-dates.xlsx", want: &standard},
	{file: "r-dates.xlsx", want: &standard},
	{file: "r-table.xlsx", want: &flatSet},
	{file: "lo-dates.xlsx", want: &standard},
	{file: "gn-dates.xlsx", want: &standard},
	{file: "op-dates-1904.xlsx", want: &standard},
	{file: "lo-dates-1904.xlsx", want: &standard},
	{file: "op-dates-text.xlsx", want: &standard},
	{file: "op-flat.xlsx", want: &flatSet},
	{file: "lo-flat.xlsx", want: &flatSet},
	{file: "gn-flat.xlsx", want: &flatSet},
	{file: "lo-flat.csv", want: &flatSet},
	{file: "gn-flat.csv", want: &flatSet},
	{file: "csv-comma.csv", want: &flatSet},
	{file: "csv-semicolon-comma.csv", want: &flatSet},
	{file: "csv-tab.tsv", want: &flatSet},
	{file: "csv-bar.txt", want: &flatSet},
	{file: "csv-bom.csv", want: &flatSet},
	{file: "csv-bom-quoted.csv", want: &flatSet},
	{file: "csv-utf16le.csv", want: &flatSet},
	{file: "csv-utf16be.csv", want: &flatSet},
	{file: "csv-utf16-no-mark.csv", want: &flatSet},
	{file: "csv-cr-only.csv", want: &flatSet},
	{file: "csv-sep-line.csv", want: &flatSet},
	{file: "csv-blank-lines.csv", want: &little},
	{file: "csv-invented.csv", want: &little},
	{file: "op-columns-shuffled.xlsx", want: &flatSet},
	{file: "op-rows-reversed.xlsx", want: &standard},
	{file: "op-invented.xlsx", want: &standard},
	{file: "xml-inline.xlsx", want: &little},
	{file: "xml-no-references.xlsx", want: &little},
	{file: "xml-rows-shuffled.xlsx", want: &little},
	{file: "xml-cells-shuffled.xlsx", want: &little},
	{file: "xml-prefixed.xlsx", want: &little},
	{file: "xml-strict.xlsx", want: &little},
	{file: "xml-rich-text.xlsx", want: &little},
	{file: "xml-absolute-target.xlsx", want: &little},
}

func ptr(r records) *records { return &r }

// Values: read where they can mean one thing, refused where they cannot.
var valueFixtures = []fixture{
	{file: "op-universal.xlsx", want: &standard},
	{file: "op-palmer.xlsx", want: &standard},
	{file: "op-teeth-dotted.xlsx", want: &standard},
	{file: "op-teeth-tenths.xlsx", want: &standard},
	{file: "op-teeth-undecided.xlsx", found: "notation-ask@Sheet1!D2"},
	{file: "op-teeth-mixed.xlsx", found: "notation-ask@Sheet1!D2"},
	{file: "op-teeth-date.xlsx", found: "tooth-date@Sheet1!D2"},
	{file: "op-teeth-date.xlsx", answers: "tooth dates=reject", want: &no13, found: "tooth-date@Sheet1!D2"},
	{file: "op-tooth-unknown.xlsx", want: &no13, found: "tooth-unknown@Sheet1!D2"},
	{file: "op-tooth-deciduous.xlsx", want: &no13, found: "tooth-unknown@Sheet1!D2"},
	{file: "op-numbers-as-text.xlsx", want: &standard},
	{file: "op-decimal-comma.xlsx", want: &standard},
	{file: "op-unicode-minus.xlsx", want: &standard},
	{file: "op-parentheses.xlsx", want: &standard},
	{file: "op-units-in-cells.xlsx", want: &standard},
	{file: "op-direction-letters.xlsx", want: &standard},
	{file: "op-direction-names.xlsx", want: ptr(sizesOfRotation())},
	{file: "op-sign-against-word.xlsx", want: ptr(little.without(is(45))), found: "sign-direction@Sheet1!F3"},
	{file: "op-direction-other-axis.xlsx", want: ptr(little.without(func(v any) bool {
		return is(45)(v) || is(33)(v) || is("B2")(v)
	})), found: "axis-direction@Sheet1!H3"},
	{file: "op-achieved-blank.xlsx", want: &no13, found: "achieved-missing@Sheet1!G2"},
	{file: "op-achieved-code.xlsx", want: ptr(with(13, func(m *Movement) { m.Achieved = Opt[float64]{} }))},
	{file: "op-achieved-zero.xlsx", want: ptr(with(13, func(m *Movement) { m.Achieved = Some(0.0) }))},
	{file: "op-achieved-sentinel.xlsx", want: &no13, found: "value-sentinel@Sheet1!G2"},
	{file: "op-achieved-dash.xlsx", want: &no13, found: "number-unreadable@Sheet1!G2"},
	{file: "op-planned-blank.xlsx", want: &no13, found: "value-missing@Sheet1!F2"},
	{file: "op-error-text.xlsx", want: &no13, found: "cell-error@Sheet1!G2"},
	{file: "op-error-cell.xlsx", want: &no13, found: "cell-error@Sheet1!G2"},
	{file: "lo-error-cell.xlsx", want: &no13, found: "cell-error@Sheet1!G2"},
	{file: "op-formula-no-value.xlsx", want: &no13, found: "formula-no-value@Sheet1!G2"},
	{file: "op-axis-unknown.xlsx", want: &no13, found: "axis-unknown@Sheet1!E2"},
	{file: "op-unit-axis.xlsx", want: ptr(little.without(is(45))), found: "unit-axis@Sheet1!H3"},
	{file: "op-style-unknown.xlsx", want: ptr(styled(map[Tooth]Style{45: StyleNone, 33: SoftwareSuggested})), found: "style-unknown@Sheet1!H2"},
	{file: "op-feature-style.xlsx", want: ptr(wedge45.without(is(13))), found: "feature-missing@Sheet1!H2 style-missing@Sheet1/3"},
	{file: "op-amount-impossible.xlsx", want: &no13, found: "amount-impossible@Sheet1!F2"},
	{file: "op-amount-unlikely.xlsx", want: ptr(with(13, func(m *Movement) { m.Planned = 75 })), found: "amount-unlikely@Sheet1!F2"},
	{file: "op-formula-like.xlsx", want: ptr(renamed("=1+1|x")), found: "formula-like-text@Sheet1!A2"},
	{file: "op-dates-ambiguous.xlsx", found: "date-ambiguous@Sheet1!H2"},
	{file: "csv-thousands.csv", found: "number-ambiguous@csv-thousands!F2 nothing-read@csv-thousands!F2"},
	{file: "xml-iso-date.xlsx", want: ptr(started("B1", month(2024, 5)))},
	{file: "csv-cp1252.csv", want: ptr(inPractice("Zürich")), found: "text-encoding@"},
	{file: "csv-quoted-break.csv", want: ptr(with(13, func(m *Movement) { m.Staging = Combined }))},
	{file: "csv-ragged.csv", want: ptr(little.without(is(45))), found: "value-missing@csv-ragged!F3"},
	{file: "csv-movements-only.csv", want: ptr(records{[]Case{}, []Course{}, standard.without(is(41)).Movements, []Repeat{}}.unplaced()), found: "achieved-missing@csv-movements-only!F6"},
	{file: "csv-cases-only.csv", want: ptr(records{standard.Cases, []Course{}, []Movement{}, []Repeat{}})},
}

// Layouts of tables.
var layoutFixtures = []fixture{
	{file: "op-synonyms.xlsx", want: &little},
	{file: "op-header-row-4.xlsx", want: &little},
	{file: "op-totals.xlsx", want: &little},
	{file: "op-wide.xlsx", want: &little},
	{file: "op-wide-two-headers.xlsx", want: &little},
	{file: "lo-wide-two-headers.xlsx", want: &little},
	{file: "r-two-units.xlsx", want: &little},
	{file: "r-units-above.xlsx", want: &little},
	{file: "r-percent-only.xlsx", found: "percent-only@Sheet1!G1"},
	{file: "r-percent-only.xlsx", answers: "percent=achieved", want: ptr(percentOnly()), found: "percent-only@Sheet1!G1"},
	{file: "op-sheet-per-case.xlsx", want: &little},
	{file: "gn-sheet-per-case.xlsx", want: &little},
	{file: "op-merged-case.xlsx", want: &little, found: "cell-merged@Sheet1!A2"},
	{file: "op-example-row.xlsx", want: &little, found: "sheet-skipped@notes"},
	{file: "op-hidden.xlsx", want: &standard, found: "sheet-hidden@courses row-hidden@movements column-hidden@movements"},
	{file: "lo-hidden.xlsx", want: &standard, found: "sheet-hidden@courses row-hidden@movements column-hidden@movements"},
	{file: "op-column-unread.xlsx", want: &little},
	{file: "op-course-missing.xlsx", found: "course-assumed@Sheet1"},
	{file: "op-course-missing.xlsx", answers: "course=initial", want: &little, found: "course-assumed@Sheet1"},
	{file: "op-header-repeated.xlsx", want: ptr(func() records {
		r := little
		r.Cases = append(slices.Clone(r.Cases), Case{ID: "B3", Status: Completed})
		r.Courses = append(slices.Clone(r.Courses), Course{Case: CaseKey{ID: "B3"}, Number: 1})
		r.Movements = append(slices.Clone(r.Movements), Movement{Case: CaseKey{ID: "B3"}, Course: 1, Tooth: 46, Axis: Rotation, Planned: 3, Achieved: Some(2.0)})
		return r.sorted()
	}())},
	{file: "op-tables-stacked.xlsx", want: ptr(littleCourse(10))},
	{file: "op-tables-beside.xlsx", found: "tables-several@Sheet1!I1"},
	{file: "op-column-missing.xlsx", found: "column-missing@Sheet1/1"},
	{file: "op-column-misspelt.xlsx", found: "column-missing@Sheet1/1"},
	{file: "op-column-ambiguous.xlsx", found: "column-ambiguous@Sheet1!H1 question-open@"},
	{file: "op-no-table.xlsx", found: "sheet-skipped@Sheet1 layout-unknown@"},
	{file: "op-other-language.xlsx", want: &little},
	{file: "op-positions.xlsx", found: "column-ambiguous@Sheet1!H1"},
}

// Records that do not fit together.
var recordFixtures = []fixture{
	{file: "op-duplicate-same.xlsx", want: &little, found: "movement-duplicate@Sheet1/5"},
	{file: "op-duplicate-different.xlsx", want: &no13, found: "movement-duplicate@Sheet1/2 movement-duplicate@Sheet1/5"},
	{file: "op-case-conflict.xlsx", want: ptr(little.without(is(45))), found: "case-conflict@Sheet1!A3"},
	{file: "op-end-before-start.xlsx", want: ptr(standard.without(func(v any) bool { c, ok := v.(Case); return ok && c.ID == "A1" })), found: "end-before-start@cases!F2 case-unlisted@courses/2"},
	{file: "op-case-unlisted.xlsx", want: ptr(standard.without(func(v any) bool { c, ok := v.(Case); return ok && c.ID == "A3" }).unplaced("A3")), found: "case-unlisted@courses/5"},
	{file: "op-refinement-count.xlsx", want: ptr(func() records {
		r := standard
		r.Cases = slices.Clone(r.Cases)
		r.Cases[0].StatedRefinements = Some(3)
		return r.sorted()
	}()), found: "refinement-count@cases/2"},
	{file: "op-course-order.xlsx", want: ptr(course2(func(c *Course) { c.Start = month(2024, 1) })), found: "course-order@courses/3"},
	{file: "op-course-gap.xlsx", want: ptr(func() records {
		r := course2(func(c *Course) { c.Number = 3 })
		r.Movements = slices.Clone(r.Movements)
		for i := range r.Movements {
			if r.Movements[i].Course == 2 {
				r.Movements[i].Course = 3
			}
		}
		return r.sorted()
	}()), found: "course-gap@courses/3 refinement-count@cases/2"},
}

// Damaged files, files made to do harm, files of another kind.
var hostileFixtures = []fixture{
	{file: "xml-shared.xlsx", want: ptr(records{
		[]Case{{ID: "B1", Status: Completed}},
		[]Course{{Case: CaseKey{ID: "B1"}, Number: 1}},
		[]Movement{{Case: CaseKey{ID: "B1"}, Course: 1, Tooth: 41, Axis: Rotation, Planned: 3, Achieved: Some(2.0)}},
		[]Repeat{},
	})},
	{file: "xml-links-macros.xlsx", want: &little, found: "file-macros@ file-links@"},
	{file: "xml-shared-index.xlsx", found: "sheet-damaged@Sheet1!E2"},
	{file: "xml-shared-missing.xlsx", found: "file-damaged@"},
	{file: "xml-shared-cut.xlsx", found: "file-damaged@"},
	{file: "xml-style-index.xlsx", found: "sheet-damaged@Sheet1!F2"},
	{file: "xml-cut.xlsx", found: "sheet-damaged@Sheet1"},
	{file: "xml-cut-between-rows.xlsx", found: "sheet-damaged@Sheet1"},
	{file: "xml-two-in-one-place.xlsx", found: "sheet-damaged@Sheet1!F3"},
	{file: "xml-bad-reference.xlsx", found: "sheet-damaged@Sheet1"},
	{file: "xml-bad-number.xlsx", found: "sheet-damaged@Sheet1!F3"},
	{file: "xml-entities.xlsx", found: "sheet-damaged@Sheet1"},
	{file: "xml-utf16.xlsx", found: "sheet-damaged@Sheet1"},
	{file: "xml-cut-container.xlsx", found: "file-damaged@"},
	{file: "xml-cut-container-start.xlsx", found: "file-kind@"},
	{file: "xml-flipped-byte.xlsx", found: "sheet-damaged@Sheet1"},
	{file: "xml-part-missing.xlsx", found: "file-damaged@Sheet1"},
	{file: "xml-far-cell.xlsx", found: "file-too-large@Sheet1"},
	{file: "xml-far-columns.xlsx", found: "file-too-large@Sheet1"},
	{file: "xml-ratio.xlsx", found: "file-too-large@"},
	{file: "xml-many-parts.xlsx", found: "file-too-large@"},
	{file: "xml-old-format.xlsx", found: "file-damaged@"},
	{file: "xml-password.xlsx", found: "file-password@"},
	{file: "lo-clean.ods", want: &standard},
	{file: "lo-clean.xls", want: &standard},
	{file: "lo-small.html", found: "file-kind@"},
	{file: "lo-small.pdf", found: "file-kind@"},
	{file: "csv-html.xlsx", found: "file-kind@"},
	{file: "csv-text.xlsx", found: "file-kind@"},
	{file: "csv-binary.csv", found: "file-kind@"},
	{file: "csv-empty.csv", found: "file-empty@"},
	{file: "csv-spaces.csv", found: "file-empty@"},
	{file: "op-empty.xlsx", found: "file-empty@"},
	{file: "csv-one-column.csv", found: "text-separator@"},
	{file: "csv-unclosed-quote.csv", found: "text-quotes@/3"},
	{file: "csv-bare-quote.csv", want: ptr(little.without(is(45))), found: "text-quotes@csv-bare-quote/3"},
}

// The same files, read as a mapping file declares.
var mappedFixtures = []fixture{
	{file: "op-teeth-undecided.xlsx", mapping: "[file]\nnotation = \"universal\"", want: ptr(records{
		[]Case{{ID: "B1", Status: Completed}},
		[]Course{{Case: CaseKey{ID: "B1"}, Number: 1}},
		records{Movements: []Movement{ // Universal 13 is FDI 25, 21 is 34
			{Case: CaseKey{ID: "B1"}, Course: 1, Tooth: 25, Axis: Rotation, Planned: 12.5, Achieved: Some(10.0)},
			{Case: CaseKey{ID: "B1"}, Course: 1, Tooth: 34, Axis: Vertical, Planned: -1, Achieved: Some(-1.0)},
		}}.sorted().Movements,
		[]Repeat{},
	})},
	{file: "op-achieved-sentinel.xlsx", mapping: "[missing]\ncodes = [\"999\"]", want: ptr(with(13, func(m *Movement) { m.Achieved = Opt[float64]{} }))},
	{file: "op-achieved-dash.xlsx", mapping: "[missing]\ncodes = [\"-\"]", want: ptr(with(13, func(m *Movement) { m.Achieved = Opt[float64]{} }))},
	{file: "op-style-unknown.xlsx", mapping: "[words.style]\nmine = \"clinician-designed\"", want: ptr(styled(map[Tooth]Style{13: ClinicianDesigned, 45: StyleNone, 33: SoftwareSuggested}))},
	{file: "op-dates-ambiguous.xlsx", mapping: "[file]\ndates = \"day first\"", want: ptr(oneDated(month(2024, 4)))},
	{file: "op-dates-ambiguous.xlsx", answers: "dates=day first", want: ptr(oneDated(month(2024, 4)))},
	{file: "op-dates-ambiguous.xlsx", mapping: "[answers]\ndates = \"month first\"", want: ptr(oneDated(month(2024, 3)))},
	{file: "op-dates-ambiguous.xlsx", mapping: "[file]\ndates = \"month first\"", want: ptr(oneDated(month(2024, 3)))},
	{file: "csv-thousands.csv", mapping: "[file]\ndecimal = \",\"", want: ptr(records{
		[]Case{{ID: "B1", Status: Completed}},
		[]Course{{Case: CaseKey{ID: "B1"}, Number: 1}},
		[]Movement{{Case: CaseKey{ID: "B1"}, Course: 1, Tooth: 43, Axis: Rotation, Planned: 1.25, Achieved: Some(1.125)}},
		[]Repeat{},
	})},
	{file: "op-residual.xlsx", want: &little},
	{file: "op-residual.xlsx", mapping: "[file]\nachieved = \"residual\"", want: &little},
	{file: "op-positions.xlsx", mapping: "[file]\nplanned = \"end position\"\nachieved = \"end position\"", want: &little},
	{file: "op-percent.xlsx", want: ptr(percented)},
	{file: "op-opposite-sign.xlsx", mapping: "[positive]\nvertical = \"intrusion\"", want: &little},
	{file: "op-opposite-sign.xlsx", want: ptr(with(45, func(m *Movement) { m.Planned, m.Achieved = 1.5, Some(1.25) }))},
	{file: "op-column-ambiguous.xlsx", mapping: "[[sheet]]\nname = \"Sheet1\"\n[sheet.columns]\nintended = \"ignore\"", want: &little},
	{file: "op-column-misspelt.xlsx", mapping: "[[sheet]]\nname = \"Sheet1\"\n[sheet.columns]\n\"(F)\" = \"planned\"", want: &little},
	{file: "op-other-language.xlsx", mapping: "[[sheet]]\nname = \"Daten\"\nkind = \"movement\"\n[sheet.columns]\nFall = \"case\"\nStand = \"status\"\nSerie = \"course\"\nZahn = \"tooth\"\nAchse = \"axis\"\nSoll = \"planned\"\nIst = \"achieved\"", want: &little},
	{file: "op-other-language.xlsx", mapping: "[[sheet]]\nname = \"Data\"\nskip = true", found: "mapping-unmatched@Data"},
	{file: "op-amount-unlikely.xlsx", mapping: "[[waiver]]\nrule = \"amount-unlikely\"\ncell = \"F2\"\nreason = \"checked\"", want: ptr(with(13, func(m *Movement) { m.Planned = 75 }))},
	{file: "op-clean.xlsx", mapping: "[[waiver]]\nrule = \"amount-unlikely\"\nreason = \"checked\"", want: &standard, found: "waiver-unmatched@"},
	{file: "op-example-row.xlsx", mapping: "[[sheet]]\nname = \"notes\"\nskip = true", want: &little},
	{file: "op-course-missing.xlsx", mapping: "[[sheet]]\nname = \"Sheet1\"\n[sheet.constants]\ncourse = \"initial\"", want: &little},
}
