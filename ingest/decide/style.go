package decide

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Styling says how the attachment of a row is read.
type Styling struct {
	Blank casebook.Style // what a blank cell means
	Yes   casebook.Style // what "yes" means where the column only says whether there was one
	YesNo bool
}

// styleCells is what the columns of the style hold, over the whole file.
type styleCells struct {
	at        question.Question // where the first stands
	known     int
	none      int
	yes, no   int
	shapes    int
	blank     int
	unknown   map[string]int
	yesWords  map[string]int
	changedBy bool // a column says whether the clinician changed it
	// read are the words that name a style and are not the program's own.
	read map[casebook.Style]map[string]int
}

// styleColumns lists the columns of a table that hold the style.
func styleColumns(t *layout.Table) []int {
	if col := t.Find(columns.Style); col > 0 {
		return []int{col}
	}
	var out []int
	for _, p := range t.Pairs {
		if col := p.Cols[columns.Style]; col > 0 && !slices.Contains(out, col) {
			out = append(out, col)
		}
	}
	return out
}

func (r *File) styleCells() styleCells {
	s := styleCells{unknown: map[string]int{}, yesWords: map[string]int{}, read: map[casebook.Style]map[string]int{}}
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind {
			continue
		}
		s.changedBy = s.changedBy || t.Has(columns.Changed)
		amounts := amountsOf(t)
		for _, col := range styleColumns(t) {
			if s.at.Cell == "" {
				s.at.Sheet, s.at.Cell, s.at.Column = t.Sheet.Name, sheet.Ref(t.Header, col), t.HeaderOf(col)
			}
			for _, x := range distinct(t, col, wanted(t, func(row sheet.Row) bool {
				return row.Number >= t.Body && !row.Broken && !isExample(row.At(t.Find(columns.Case))) && planned(amounts, row)
			})) {
				s.note(r, x.cell, x.n)
			}
		}
	}
	return s
}

// planned reports a row that holds a planned amount.
func planned(amounts []plannedColumn, row sheet.Row) bool {
	return slices.ContainsFunc(amounts, func(a plannedColumn) bool {
		c := row.At(a.planned)
		return c.Kind == sheet.Number || c.Kind == sheet.String && strings.ContainsAny(c.Text, "0123456789") && !values.IsTotal(row.Cell(0).Text)
	})
}

// note counts a cell of so many rows.
func (s *styleCells) note(r *File, c sheet.Cell, n int) {
	text := strings.TrimSpace(c.Text)
	if c.Kind == sheet.Blank || text == "" {
		s.blank += n
		return
	}
	if values.IsMissing(text, r.Missing) {
		return
	}
	meant := r.Meant(columns.Style, text)
	style, err := values.ParseStyle(meant)
	yes, notYes := values.ParseYesNo(meant)
	_, notShape := values.ParseShape(meant)
	if a, ok := values.ParseAttachment(meant); ok && a.Style != casebook.NoStyle {
		style, err = a.Style, nil
	}
	switch {
	case err == nil && style != casebook.StyleNone:
		s.known += n
		s.took(style, text, n)
	case notYes == nil && !yes && !oddLetter(meant):
		s.no += n
	case oddLetter(meant):
		s.unknown[text] += n
	case err == nil:
		s.none += n
	case notYes == nil && yes && !oddLetter(meant):
		s.yes += n
		s.yesWords[text] += n
	case notShape == nil:
		s.shapes += n
	default:
		s.unknown[text] += n
	}
}

// took counts a word of the sheet's own that names a style.
func (s *styleCells) took(style casebook.Style, text string, n int) {
	if values.Key(text) == values.Key(style.String()) || !lexicon.AllKnown(text) {
		return
	}
	if s.read[style] == nil {
		s.read[style] = map[string]int{}
	}
	s.read[style][text] += n
}

// mostTold is how many words of a style are told.
const mostTold = 4

// Often says how many times something stands.
func Often(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// readAs adds a word of the sheet and what it is read as to a list that makes a sentence.
func readAs(told []string, word, meaning string, n int) []string {
	is := "as"
	if len(told) == 0 {
		is = "is read as"
	}
	return append(told, fmt.Sprintf("%q %s %s (%s)", word, is, meaning, Often(n)))
}

// tell says what the words of the sheet are read as.
func (s *styleCells) tell(out *[]casebook.Problem) {
	var told []string
	for _, style := range []casebook.Style{casebook.SoftwareSuggested, casebook.ClinicianDesigned} {
		words := slices.Sorted(maps.Keys(s.read[style]))
		for _, w := range words[:min(len(words), mostTold)] {
			told = readAs(told, w, style.String(), s.read[style][w])
		}
	}
	if len(told) == 0 {
		return
	}
	p := rules.New(rules.LayoutAssumed, "%s", strings.Join(told, ", "))
	p.Sheet, p.Cell, p.Column = s.at.Sheet, s.at.Cell, s.at.Column
	*out = append(*out, p)
}

// oddLetter reports a single letter other than those that mostly mean yes or no:
// in a column of styles it may as well be the first letter of one.
func oddLetter(s string) bool {
	k := values.Key(s)
	return utf8.RuneCountInString(k) == 1 && !strings.Contains("yxjn01", k)
}

// decideStyles settles what yes, a blank and words that are not known mean in
// the columns of the attachment.
func (r *File) decideStyles(m *mapping.File, out *[]casebook.Problem) {
	s := r.styleCells()
	if s.at.Cell == "" {
		return
	}
	if len(s.unknown) > 0 && s.known == 0 {
		// A mark among letters of a code, such as x, is one of the code.
		maps.Copy(s.unknown, s.yesWords)
		s.yes = 0
	}
	s.tell(out)
	open := r.askStyleWords(s)
	var p Styling
	if s.yes > 0 && s.known == 0 {
		p.YesNo = true
		if !s.changedBy {
			p.Yes = r.askYesStyle(s)
		}
	}
	if len(s.unknown) > 0 && !open {
		s = r.styleCells() // what was answered may be a word for none
	}
	if s.blank > 0 && !open && s.none == 0 && s.no == 0 && s.known+s.yes+s.shapes+len(s.unknown) > 0 {
		p.Blank = r.askBlankStyle(s, m)
	}
	for t, x := range r.Plans {
		x.Style = p
		r.Plans[t] = x
	}
}

func (r *File) askYesStyle(s styleCells) casebook.Style {
	q := s.at
	q.ID = "attachment yes"
	q.Text = "the column says whether there was an attachment and not who designed it: who did?"
	q.Choices = []question.Choice{
		{Word: "software", Text: "the software suggested all of them", Count: s.yes},
		{Word: "clinician", Text: "the clinician designed all of them", Count: s.yes},
		{Word: "not recorded", Text: "it was not recorded; these movements take no part in comparisons of style", Count: s.yes},
	}
	switch r.Asker.Ask(q) {
	case "software":
		return casebook.SoftwareSuggested
	case "clinician":
		return casebook.ClinicianDesigned
	}
	return casebook.NoStyle
}

func (r *File) askBlankStyle(s styleCells, m *mapping.File) casebook.Style {
	switch m.File.BlankStyle {
	case "none":
		return casebook.StyleNone
	case "not recorded":
		return casebook.NoStyle
	}
	q := s.at
	q.ID = "blank attachment"
	q.Text = fmt.Sprintf("%d cells of the column are blank and none says that there was no attachment: what does a blank mean?", s.blank)
	q.Choices = []question.Choice{
		{Word: "none", Text: "no attachment was bonded", Count: s.blank},
		{Word: "not recorded", Text: "it was not recorded", Count: s.blank},
	}
	q.Proposed = "none"
	if r.Asker.Ask(q) == "none" {
		return casebook.StyleNone
	}
	return casebook.NoStyle
}

// rareWord is how often an unknown word must stand in a column before it is
// asked about; below, it is a slip that costs its own cell.
const rareWord = 2

// askStyleWords asks what each word means that the program does not know, and reports
// that an answer is still missing: until then nobody can say that none of them means that
// there was no attachment.
func (r *File) askStyleWords(s styleCells) (open bool) {
	var qs []question.Question
	for _, text := range slices.Sorted(maps.Keys(s.unknown)) {
		if n := s.unknown[text]; n < rareWord && s.known+s.none > 0 {
			continue
		}
		q := s.at
		q.Word, q.Count = shownWord(text, q.Column), s.unknown[text]
		q.ID = "style " + q.Word
		q.Text = fmt.Sprintf("what does %q mean in the column (%d times)?", q.Word, q.Count)
		q.Choices = []question.Choice{
			{Word: "none", Text: "no attachment"},
			{Word: "software", Text: "suggested by the software"},
			{Word: "clinician", Text: "designed or changed by the clinician"},
			{Word: "not recorded", Text: "not known, or none of these"},
		}
		qs = append(qs, q)
	}
	r.askGroup(question.Group{ID: "style words", Text: "what do these words mean in the column of the attachment:"}, qs, func(q question.Question, word string) {
		// any order: each word is learnt by itself
		for text := range s.unknown {
			if shownWord(text, s.at.Column) == q.Word {
				r.learn(columns.Style, text, word)
			}
		}
	})
	return slices.ContainsFunc(r.Asker.Open(), func(q question.Question) bool { return strings.HasPrefix(q.ID, "style ") })
}

// NotRecorded is the answer that keeps a word from meaning anything.
const NotRecorded = "not recorded"

// IsNotRecorded reports that answer, or a cell that says the same in any spelling.
func IsNotRecorded(text string) bool {
	return len(text) >= len(NotRecorded) && values.Same(strings.TrimSpace(text), NotRecorded)
}
