package decide

import (
	"fmt"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// jaws are how often a file writes the letters of jaws, and where the first one stands.
type jaws struct {
	n     map[byte]int
	first map[byte]question.Question
}

func (j *jaws) note(place question.Question, text string, alone bool) {
	for _, part := range parted(text) {
		l := values.JawLetter(part, alone)
		if l == 0 {
			continue
		}
		if j.n[l]++; j.n[l] == 1 {
			j.first[l] = place
		}
	}
}

// parted are the teeth of a cell that names several.
func parted(text string) []string {
	return strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(",;/+&\n", c) })
}

// toothText is what a column of teeth, quadrants or jaws says, and where first.
type toothText struct {
	place question.Question
	field columns.Field
	text  string
}

// toothTexts lists them, each text once a column, with the teeth that headers name.
func (r *File) toothTexts() []toothText {
	var out []toothText
	for _, t := range r.Tables {
		place := func(row, col int) question.Question {
			return question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row, col), Column: t.HeaderOf(col)}
		}
		for _, f := range []columns.Field{columns.Tooth, columns.Quadrant, columns.Arch} {
			if col := t.Find(f); col > 0 {
				for _, s := range distinct(t, col, filled(t, col)) {
					out = append(out, toothText{place(s.first.Number, col), f, s.cell.Text})
				}
			}
		}
		for _, p := range t.Pairs {
			out = append(out, toothText{place(t.Header, p.Cols[columns.Planned]), columns.Tooth, p.Tooth})
		}
	}
	return out
}

// decideJaws settles what U, O and B mean in the teeth of a file: by the other letters that it
// writes, by its language where it has but one of them, and else by a question.
func (r *File) decideJaws(texts []toothText) {
	j := jaws{map[byte]int{}, map[byte]question.Question{}}
	for _, x := range texts {
		j.note(x.place, x.text, x.field == columns.Arch)
	}
	all := func(letters string) bool {
		return !strings.ContainsFunc(letters, func(l rune) bool { return j.n[byte(l)] == 0 })
	}
	some := func(letters string) bool {
		return strings.ContainsFunc(letters, func(l rune) bool { return j.n[byte(l)] > 0 })
	}
	switch {
	case !some(values.JawLetters):
	case all("OU") && !some("BLH"), some("O") && !some("UBLH") && r.inLanguage(germanHeaders):
		r.Jaws = values.Jaws{'O': 'U', 'U': 'L'}
	case all("BO") && !some("ULH"), some("OB") && !some("ULH") && r.inLanguage(dutchHeaders):
		r.Jaws = values.Jaws{'B': 'U', 'O': 'L'}
	case all("HB") && !some("UOL"):
		r.Jaws = values.Jaws{'B': 'L'}
	case some("U") && !some("OBH") && (some("L") || !r.inLanguage(germanHeaders)):
	default:
		r.askJaws(j)
	}
}

// askJaws asks what each letter means that a file does not explain.
func (r *File) askJaws(j jaws) {
	r.Jaws = values.Jaws{}
	for _, l := range []struct {
		letter       byte
		id           string
		upper, lower string
	}{
		{'U', "quadrant letters", "upper: UL is upper left", "unten (lower): UL is unten links, lower left"},
		{'O', "quadrant letters O", "oben (upper): OL is oben links, upper left", "onder (lower): OL is linksonder, lower left"},
		{'B', "quadrant letters B", "boven (upper): BR is rechtsboven, upper right", "bas (lower)"},
	} {
		if j.n[l.letter] == 0 {
			continue
		}
		q := j.first[l.letter]
		q.ID, q.Rule = l.id, string(rules.NotationAsk)
		q.Text = fmt.Sprintf("teeth are written with the letter %c for a jaw: which one is it?", l.letter)
		q.Choices = []question.Choice{{Word: "upper", Text: l.upper}, {Word: "lower", Text: l.lower}}
		switch r.Asker.Ask(q) {
		case "upper":
			r.Jaws[l.letter] = 'U'
		case "lower":
			r.Jaws[l.letter] = 'L'
		}
	}
}

// Headers that only one language writes, or those that share its letters.
var (
	germanHeaders = []string{
		"zahn", "zähne", "fall", "geplant", "erreicht", "bewegung", "soll", "behandler", "einheit", "richtung",
		"tand", "tann", "rörelse", "planerat", "uppnått", "käke", "bevægelse", "planlagt", "opnået", "kæbe", "bevegelse", "oppnådd", "kjeve",
	}
	dutchHeaders = []string{"element", "casus", "gepland", "bereikt", "beweging", "richting", "behandelaar", "eenheid", "kaak", "kwadrant", "tanden", "ronde"}
)

// inLanguage reports two headers of a language.
func (r *File) inLanguage(headers []string) bool {
	n := 0
	for _, t := range r.Tables {
		for _, c := range t.Columns {
			for _, h := range headers {
				if values.Key(c.Text) == h {
					n++
				}
			}
		}
	}
	return n >= 2
}
