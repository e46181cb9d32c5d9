package privacy

import (
	"fmt"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
)

// sheetColumns collects the findings of one sheet by column and rule.
type sheetColumns struct {
	codes map[int]*codes // by column
	s     *screener
	sh    Sheet
	name  string
	uses  map[int]use
	clean Clean // of the table
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
	texts     map[string]bool // the first different ones of these
	differ    bool            // not all of these begin with the first one's letters
	last      string          // most cells say what the one above says
	form      form            // of the last
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
		c.first, c.texts = c.form.letters, map[string]bool{}
	}
	if len(c.texts) <= fewCodes {
		c.texts[c.last] = true
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
	return c != nil && c.births > 0 && c.births == c.initialed && (c.differ || len(c.texts) <= fewCodes)
}

// fewCodes are too few to tell numbers of order by.
const fewCodes = 2

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
	if c.sh.Note != nil && cell.Kind == Text && c.sh.Note(cell.Row) {
		c.note(cell)
		return
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

// note looks at a note below the records, which is no code, whatever column it stands in. One
// of few words may be a name written there; a longer one is looked at as a sentence, whose
// words need not be those of the trade.
func (c *sheetColumns) note(cell Cell) {
	id := rules.ID("")
	if ws := words(cell.Text); len(ws) < 3 {
		id = c.look(cell)
	} else if id = c.s.classify(cell.Text, comment); id == rules.IdentifierText || id == rules.IdentifierName && Word(cell.Text) {
		id = ""
	}
	if id == "" {
		return
	}
	c.found(id, cell, "note", "the note below the table holds "+noun[id])
	if p := &c.s.problems[len(c.s.problems)-1]; p.Cell == ref(cell.Col, cell.Row) {
		p.Remedy = moveNotes
	}
}

// moveNotes is what to do where a note looks like a name.
const moveNotes = "Delete the note, or write it in other words; where it identifies nobody, ingest with --allow-identifiers"

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
	if id == rules.IdentifierName && class == "cell" && c.uses[cell.Col] == code {
		c.s.problems[len(c.s.problems)-1].Remedy = writeCodes
	}
}

// writeCodes is what to do where a code looks like a name: in which form it is none.
const writeCodes = "Write a code in its place, in capitals or with a number, such as AC or C1; or make an anonymised copy with \"shortfall pseudonymise\", " +
	"in which each has a code; where you are sure that it is a code and identifies nobody, ingest with --allow-identifiers"

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

// ref writes an A1 reference.
func ref(col, row int) string {
	name := ""
	for ; col > 0; col = (col - 1) / 26 {
		name = string(rune('A'+(col-1)%26)) + name
	}
	return name + strconv.Itoa(row)
}
