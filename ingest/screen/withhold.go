package screen

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"unicode"

	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/privacy"
)

// NameWithheld stands for a name that looks like an identifier.
const NameWithheld = "(name withheld)"

// Shown is a path as it may be printed or kept: a file name that looks like an
// identifier is not repeated, and one with breaks of lines cannot pass for another message.
func Shown(path string) string {
	if strings.ContainsFunc(path, unicode.IsControl) {
		path = strings.Map(func(r rune) rune {
			if unicode.IsControl(r) {
				return '\uFFFD'
			}
			return r
		}, path)
	}
	dir, name := filepath.Split(path)
	ext := filepath.Ext(name)
	if privacy.LabelRule(strings.TrimSuffix(name, ext)) == "" {
		return path
	}
	return dir + NameWithheld
}

// WithoutNames takes names that look like identifiers out of the error of a file
// that could not be read, which nobody has screened.
func WithoutNames(err error) error {
	p, ok := errors.AsType[casebook.Problem](err)
	if !ok {
		return err
	}
	p.File = Shown(p.File)
	if p.Sheet != "" && privacy.LabelRule(p.Sheet) != "" {
		p.Sheet = NameWithheld
	}
	return p
}

// SheetName is the name by which a sheet is known from reading on: its own where it is made
// of words of the trade, of a dictionary or of a calendar, and of short codes; else its
// number, since a screen cannot tell whether other words name somebody.
func SheetName(name string, number int) string {
	if privacy.LabelRule(name) != "" {
		return fmt.Sprintf("number %d %s", number, NameWithheld)
	}
	if lexicon.AllKnown(name) {
		return name
	}
	for word := range strings.FieldsSeq(name) {
		if !lexicon.AllKnown(word) && !privacy.Word(word) {
			return fmt.Sprintf("number %d", number)
		}
	}
	return name
}

// WithholdNames takes the names of the file and of its sheets that could name a person
// out of a batch: nothing refers to a file by its name, and a sheet is known by its number.
func WithholdNames(b *casebook.Batch, sheets []string) {
	stem := strings.TrimSuffix(b.File.Name, filepath.Ext(b.File.Name))
	b.File.Name = Shown(b.File.Name)
	other := map[string]string{}
	for i, name := range sheets {
		if name == stem && b.File.Name != NameWithheld {
			continue // the one sheet of a text has the name of the file
		}
		if shown := SheetName(name, i+1); shown != name {
			other[name] = shown
		}
	}
	name := func(s *string) {
		if o, ok := other[*s]; ok {
			*s = o
		}
	}
	problems := func(list []casebook.Problem) {
		for i := range list {
			list[i].File = b.File.Name
			name(&list[i].Sheet)
		}
	}
	for i := range b.Sheets {
		name(&b.Sheets[i].Sheet)
	}
	for i := range b.Cases {
		name(&b.Cases[i].Source.Sheet)
	}
	for i := range b.Courses {
		name(&b.Courses[i].Source.Sheet)
	}
	for i := range b.Movements {
		name(&b.Movements[i].Source.Sheet)
	}
	for i := range b.Repeats {
		name(&b.Repeats[i].Source.Sheet)
	}
	for i := range b.Rejected {
		name(&b.Rejected[i].Source.Sheet)
		problems(b.Rejected[i].Reasons)
	}
	problems(b.Problems)
}
