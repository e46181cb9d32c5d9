package privacy

import (
	"fmt"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/values"
)

// CellsNamed is how many cells of one column are named for one rule; the
// others are counted, with the rows they span.
const CellsNamed = 100

// Screen lists everything in a file that looks like an identifier: none where
// it is clean. Each problem names its place and never what stands there.
func Screen(in Input) []casebook.Problem {
	s := &screener{in: in, seen: map[cellKey]rules.ID{}}
	s.newest = s.newestYear()
	s.file = in.File
	if s.classify(strings.TrimSuffix(in.File, filepath.Ext(in.File)), label) != "" {
		s.file = "(name withheld)"
		s.add(rules.IdentifierName, casebook.Problem{Message: "the name of the file looks like an identifier"})
	}
	for i, sheet := range in.Sheets {
		s.sheet(i, sheet)
	}
	for _, c := range in.Comments {
		if id := s.classify(c.Text, comment); id != "" {
			s.add(id, casebook.Problem{Sheet: s.sheetName(c.Sheet), Cell: c.Cell, Class: "comment", Message: "a comment holds " + noun[id]})
		}
	}
	for _, p := range in.Properties {
		s.property(p)
	}
	return s.problems
}

var noun = map[rules.ID]string{
	rules.IdentifierName:    "what looks like a person's name",
	rules.IdentifierDate:    "what looks like a date of birth or another exact date",
	rules.IdentifierContact: "what looks like contact details",
	rules.IdentifierNumber:  "what looks like a record, insurance or identity number",
	rules.IdentifierImage:   "what looks like the name of a photograph or scan",
	rules.IdentifierText:    "free text",
}

// announced is what a header says the cells below it hold.
var announced = map[rules.ID]string{
	rules.IdentifierName:    "names of persons",
	rules.IdentifierDate:    "dates of birth or other exact dates",
	rules.IdentifierContact: "contact details",
	rules.IdentifierNumber:  "record, insurance or identity numbers",
	rules.IdentifierImage:   "photographs, scans or other biometric records",
	rules.IdentifierText:    "free text",
}

// screener is the state of one file.
type screener struct {
	in       Input
	file     string // withheld where the name itself is a finding
	newest   int    // latest year in a column of months, 0 for none
	withheld map[string]string
	seen     map[cellKey]rules.ID
	long     int // texts beyond longText so far
	problems []casebook.Problem
}

// cellKey: equal texts under the same use get one look.
type cellKey struct {
	text string
	use  use
}

func (s *screener) add(id rules.ID, p casebook.Problem) {
	made := rules.New(id, "%s", p.Message)
	p.Rule, p.Severity, p.Remedy, p.File = made.Rule, made.Severity, made.Remedy, s.file
	s.problems = append(s.problems, p)
}

// sheetName is the name to print: its number where the name is a finding.
func (s *screener) sheetName(name string) string {
	if w, ok := s.withheld[name]; ok {
		return w
	}
	return name
}

// cleanProperties is what to do where only the properties are at fault: the
// pseudonyms in the cells can stay, which an anonymised copy would replace.
const cleanProperties = "Only the properties of the file need to change, not its cells: in a spreadsheet program open File, then Properties " +
	"or Info, remove personal information such as author and last modified by, and save; or save the sheet as .csv, which has no properties. " +
	"A name in the properties is never kept, so where it is all that was found, --allow-identifiers is safe too"

func (s *screener) property(p Property) {
	u, pieces := label, []string{p.Text}
	switch p.Name {
	case "author", "last modified by", "manager", "company", "comment author":
		u = person
	case "description":
		u = heading
	case "threaded comment":
		u = comment
	case "message of a check", "text box", "alternative text", "scenario":
		u = sentence
	case "link", "folder in which it was saved", "view of the workbook":
		pieces = append(pieces, strings.FieldsFunc(strings.ReplaceAll(p.Text, " - ", "/"), func(r rune) bool { return r == '/' || r == '\\' })...)
	}
	id := rules.ID("")
	for _, piece := range pieces {
		if id = s.classify(piece, u); id != "" {
			break
		}
	}
	if id != "" {
		name, _, _ := strings.Cut(p.Name, "custom property ") // the name of a custom one is the user's own text
		if name == "" {
			name = "a custom property"
		}
		s.add(id, casebook.Problem{Class: "document property", Message: "the document properties (" + name + ") hold " + noun[id]})
		s.problems[len(s.problems)-1].Remedy = cleanProperties
	}
}

// sheet looks at the name, the headers and the cells of a sheet.
func (s *screener) sheet(i int, sh Sheet) {
	if s.classify(sh.Name, label) != "" {
		if s.withheld == nil {
			s.withheld = map[string]string{}
		}
		s.withheld[sh.Name] = fmt.Sprintf("number %d (name withheld)", i+1)
		s.add(rules.IdentifierName, casebook.Problem{Sheet: s.sheetName(sh.Name), Message: "the name of the sheet looks like an identifier"})
	}
	for _, f := range slices.Sorted(maps.Keys(sh.Constants)) {
		if id := s.body(Cell{Text: sh.Constants[f]}, useOf(f), f); id != "" {
			s.add(id, casebook.Problem{Sheet: s.sheetName(sh.Name), Message: "what stands above the table, or its name, gives as " + f.String() + " " + noun[id]})
		}
	}
	c := newColumns(s, sh)
	for cell := range sh.Cells(nil) {
		c.cell(cell)
	}
	c.finish()
}

// sheetColumns collects the findings of one sheet by column and rule.
type sheetColumns struct {
	codes map[int]*codes // by column
	s     *screener
	sh    Sheet
	name  string
	uses  map[int]use
	clean cleanTexts // of the table
	// looked are cells of the table that were classified, by column.
	looked map[int]map[looked]rules.ID
	notes  map[int]bool
	// waiting are headers that announce free text over cells not yet seen: an
	// empty column of notes holds nothing that could identify anyone.
	waiting map[int]Cell
	more    map[tally]*span
	order   []tally
}

type tally struct {
	col int
	id  rules.ID
}

// span counts findings beyond those that are named.
type span struct{ n, first, last int }

func newColumns(s *screener, sh Sheet) *sheetColumns {
	c := &sheetColumns{s: s, sh: sh, name: s.sheetName(sh.Name), uses: map[int]use{}, looked: map[int]map[looked]rules.ID{}, notes: map[int]bool{}, waiting: map[int]Cell{}, more: map[tally]*span{}}
	c.codes = codesOf(sh)
	for col, d := range sh.Columns {
		c.uses[col] = useOf(d.Field)
		c.notes[col] = d.Field == columns.NoField && notesHeader(d.Header)
	}
	return c
}

// codes is what the codes of one column are like.
type codes struct {
	all, five int // of them numbers of five digits
	initialed int // letters and digits, as initials with a date of birth are written
	births    int // of these, digits that can be one
	first     string
	differ    bool   // not all of these begin with the first one's letters
	last      string // most cells say what the one above says
	form      form   // of the last
}

// form of a code.
type form struct {
	five             bool // a number of five digits
	letters          string
	birth, initialed bool // as of initialed
}

func formOf(text string, u use) (f form) {
	f.five = serialBirth(text)
	if u == code {
		f.letters, f.birth, f.initialed = initialed(text)
	}
	return f
}

// codesOf looks once at the columns of codes of a sheet.
func codesOf(sh Sheet) map[int]*codes {
	out := map[int]*codes{}
	for cell := range sh.below(code, practice) {
		if sh.Body == 0 || sh.passes(cell) {
			continue
		}
		c := out[cell.Col]
		if c == nil {
			c = &codes{}
			out[cell.Col] = c
		}
		c.all++
		if c.all == 1 || cell.Text != c.last {
			c.last, c.form = cell.Text, formOf(cell.Text, useOf(sh.Columns[cell.Col].Field))
		}
		c.count()
	}
	return out
}

// count adds the code seen last.
func (c *codes) count() {
	if c.form.five {
		c.five++
	}
	if !c.form.initialed {
		return
	}
	if c.initialed++; c.initialed == 1 {
		c.first = c.form.letters
	}
	c.differ = c.differ || c.form.letters != c.first
	if c.form.birth {
		c.births++
	}
}

// odd: few of the codes are numbers of five digits; such a one among others is the serial
// day of a date.
func (c *codes) odd() bool { return c != nil && c.five > 0 && c.all >= 3 && 2*c.five < c.all }

// born: each code of the form can be initials with a date of birth, and the letters are not
// the same before every number, as they are before numbers of order.
func (c *codes) born() bool {
	return c != nil && c.births > 0 && c.births == c.initialed && (c.differ || c.initialed <= 2)
}

// serialBirth: the serial day of a date from 1927 to 2015.
func serialBirth(text string) bool {
	text = wholeText(strings.TrimSpace(text))
	return len(text) == 5 && text >= "10000" && text < "42370"
}

func (c *sheetColumns) cell(cell Cell) {
	if c.sh.Body == 0 || cell.Row < c.sh.Body {
		c.above(cell)
		return
	}
	if c.clean.has(cell) || c.sh.passes(cell) {
		return
	}
	if head, ok := c.waiting[cell.Col]; ok {
		delete(c.waiting, cell.Col)
		c.found(rules.IdentifierText, head, "header", announces(rules.IdentifierText))
	}
	id := c.look(cell)
	if id == "" && c.codes[cell.Col].odd() && serialBirth(cell.Text) {
		id = rules.IdentifierDate
	}
	if id == "" && c.codes[cell.Col].born() {
		if _, birth, _ := initialed(cell.Text); birth {
			id = rules.IdentifierDate
		}
	}
	if id == "" && c.notes[cell.Col] && cell.Kind == Text && len(words(cell.Text)) >= 2 {
		id = rules.IdentifierText
	}
	if id == "" {
		c.clean.note(cell)
		return
	}
	c.found(id, cell, "cell", "the cell holds "+noun[id])
}

// look classifies a cell below the header; what it held before in the same column gets
// one look.
func (c *sheetColumns) look(cell Cell) rules.ID {
	known := c.looked[cell.Col]
	id, ok := known[looked{cell.Text, cell.Kind}]
	if ok {
		return id
	}
	if known == nil || len(known) >= mostLooked {
		known = map[looked]rules.ID{}
		c.looked[cell.Col] = known
	}
	u := c.uses[cell.Col] // a column without a header is loose
	id = c.s.body(cell, u, c.sh.Columns[cell.Col].Field)
	known[looked{cell.Text, cell.Kind}] = id
	return id
}

// looked is what a cell holds.
type looked struct {
	text string
	kind Kind
}

// mostLooked are remembered of one column.
const mostLooked = 4096

// above looks at a header, a title or a label above the table.
func (c *sheetColumns) above(cell Cell) {
	if c.sh.passes(cell) {
		return
	}
	if cell.Kind != Text {
		if cell.Kind == Number && s7(cell.Text) {
			c.found(rules.IdentifierNumber, cell, "number", "the number holds "+noun[rules.IdentifierNumber])
		}
		return
	}
	u := heading
	if d := c.sh.Columns[cell.Col]; d.Field != columns.NoField && strings.Contains(d.Header, cell.Text) {
		u = header // it is read as that field, whatever else the word could mean
	}
	id := rules.ID("")
	if u == heading && len(cell.Text) <= longestHeader && len(words(cell.Text)) <= 4 { // a sentence of instructions is no header
		id = byHeader(cell.Text)
	}
	if id == rules.IdentifierText && c.notes[cell.Col] {
		c.waiting[cell.Col] = cell
		return
	}
	if id != "" {
		c.found(id, cell, "header", announces(id))
		return
	}
	if id = c.s.classify(cell.Text, u); id != "" {
		c.found(id, cell, "header or label", "the header or label holds "+noun[id])
	}
}

func announces(id rules.ID) string { return "the header announces " + announced[id] }

// found adds a problem for the cell, or counts it where the column has many.
func (c *sheetColumns) found(id rules.ID, cell Cell, class, message string) {
	key := tally{cell.Col, id}
	t := c.more[key]
	if t == nil {
		t = &span{}
		c.more[key] = t
		c.order = append(c.order, key)
	}
	t.n++
	if t.n > CellsNamed {
		if t.n == CellsNamed+1 {
			t.first = cell.Row
		}
		t.last = cell.Row
		return
	}
	c.s.add(id, casebook.Problem{
		Sheet: c.name, Cell: ref(cell.Col, cell.Row), Row: cell.Row, Class: class, Message: message,
	})
}

// finish says how many findings were not named one by one.
func (c *sheetColumns) finish() {
	for _, key := range c.order {
		if t := c.more[key]; t.n > CellsNamed {
			c.s.add(key.id, casebook.Problem{
				Sheet: c.name, Cell: ref(key.col, t.first) + ":" + ref(key.col, t.last),
				Message: fmt.Sprintf("%d more cells of the column hold %s", t.n-CellsNamed, noun[key.id]),
			})
		}
	}
}

// body classifies a cell of a table.
func (s *screener) body(cell Cell, u use, f columns.Field) rules.ID {
	switch cell.Kind {
	case Date:
		year, ok := serialYear(cell.Text, s.in.Date1904)
		// A tooth typed as 3-1 is stored as a date of the year it was typed in.
		if ok && s.exact(year, u) && (u != value || year < earliest) {
			return rules.IdentifierDate
		}
		return ""
	case Number:
		if s7(whole(cell.Text)) || (u == code || u == practice) && manyDigits(cell.Text) {
			return rules.IdentifierNumber
		}
		if u == month {
			if year, ok := serialYear(cell.Text, s.in.Date1904); ok && year < earliest {
				return rules.IdentifierDate
			}
		}
		if x, err := strconv.ParseFloat(cell.Text, 64); f == columns.Age && err == nil && x > 89 {
			return rules.IdentifierDate // 45 CFR 164.514(b)(2)(i)(C)
		}
		if countTooLarge(cell.Text, f) {
			return rules.IdentifierNumber
		}
		return ""
	}
	if countTooLarge(cell.Text, f) {
		return rules.IdentifierNumber
	}
	cell.Text = undress(cell.Text)
	if (u == code || u == practice) && manyDigits(cell.Text) || s7(wholeText(cell.Text)) {
		year, dated := dateYear(cell.Text)
		switch {
		case !dated:
			return rules.IdentifierNumber
		case s.exact(year, u):
			return rules.IdentifierDate
		}
	}
	if u == month && plain(cell.Text) {
		if year, ok := serialYear(cell.Text, s.in.Date1904); ok && year < earliest && len(cell.Text) == 5 {
			return rules.IdentifierDate
		}
	}
	if plain(cell.Text) {
		if x, err := strconv.ParseFloat(cell.Text, 64); f == columns.Age && err == nil && x > 89 {
			return rules.IdentifierDate
		}
		if !s7(cell.Text) {
			return ""
		}
	}
	return s.classify(cell.Text, u)
}

// countTooLarge: more than any count of aligners, days or refinements; such a
// number is the serial day of a date or the number of a record.
func countTooLarge(text string, f columns.Field) bool {
	switch f {
	case columns.PlannedAligners, columns.ChangeDays, columns.Refinements, columns.AlignersPlanned, columns.AlignersUsed, columns.LostMonth:
		x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		return err == nil && x >= largestCount
	}
	return false
}

// largestCount is beyond every count of the records (common practice, no source).
const largestCount = 1000

// plain: the text of a number; most cells of a large sheet are.
func plain(s string) bool {
	for i := range len(s) {
		if c := s[i]; (c < '0' || c > '9') && c != '.' && c != '-' && c != ',' {
			return false
		}
	}
	return strings.Count(s, "-") <= 1 && strings.Count(s, ".") <= 1 && !strings.Contains(strings.TrimPrefix(s, "-"), "-")
}

// manyDigits: nine digits or more, whatever parts them; no code of a case needs
// so many.
func manyDigits(s string) bool { return digits(s) >= 9 && !strings.ContainsFunc(s, unicode.IsLetter) }

// s7: a whole number of seven digits or more, larger than any amount or count.
func s7(s string) bool { return allDigits(s) && len(s) >= 7 }

// classify gives the rule of a text in a place; "" for none. Equal texts get
// one look.
func (s *screener) classify(text string, u use) rules.ID {
	key := cellKey{text, u}
	if id, ok := s.seen[key]; ok {
		return id
	}
	id := s.look(strings.TrimSpace(text), u)
	s.seen[key] = id
	return id
}

func (s *screener) look(text string, u use) rules.ID {
	if text == "" || known[strings.ToLower(text)] || values.IsTotal(text) {
		return ""
	}
	if len(text) > longText {
		s.long++
	}
	if len(text) > longest || s.long > mostLong { // patterns are tried on no more; no value, title or header is so long
		return rules.IdentifierText
	}
	text = undress(text)
	if u == label {
		text = strings.ReplaceAll(text, "_", " ")
	}
	year, dated := dateYear(text)
	if dated && u == code && numbered(text) {
		dated = false
	}
	if born.MatchString(text) || dated && s.exact(year, u) {
		return rules.IdentifierDate
	}
	if id := byForm(text); id != "" && (!dated || id != rules.IdentifierNumber && !isDateOnly(text)) {
		return id
	}
	if name(text, u) {
		return rules.IdentifierName
	}
	if u != heading && u != header && u != label && u != person && u != sentence && freeText(text) {
		return rules.IdentifierText
	}
	return ""
}

// numberedForm is a word and three numbers of two digits, "Case 12-03-14".
var numberedForm = regexp.MustCompile(`^(\p{L}+)[ ._-]?\d{1,2}-\d{1,2}-\d{1,2}$`)

// numbered: the code of a case that counts by two digits.
func numbered(text string) bool {
	m := numberedForm.FindStringSubmatch(text)
	return m != nil && known[fold(m[1])] && fold(m[1]) != "date"
}

// isDateOnly: a date and its separators, which a telephone number could be too.
func isDateOnly(s string) bool { return !strings.ContainsFunc(s, unicode.IsLetter) && digits(s) <= 8 }

// freeText: more words or letters than any value of the vocabulary has.
func freeText(s string) bool {
	return len(words(s)) >= freeWords || len([]rune(s)) > freeRunes && strings.ContainsFunc(s, unicode.IsLetter)
}

// The longest text that is looked at, and the longest that is taken for a header, in bytes.
const (
	longest       = 2000
	longText      = 400 // of which a file may have mostLong: sentences of instructions
	mostLong      = 200
	longestHeader = 200
)

const (
	freeWords = 8
	freeRunes = 60
)

// ref writes an A1 reference.
func ref(col, row int) string {
	name := ""
	for ; col > 0; col = (col - 1) / 26 {
		name = string(rune('A'+(col-1)%26)) + name
	}
	return name + strconv.Itoa(row)
}
