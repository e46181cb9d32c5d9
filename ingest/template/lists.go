package template

import (
	"fmt"
	"slices"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// list is one column of the hidden sheet behind the drop-downs. A list kept in
// cells may hold any text; one kept in the rule itself is cut at 255 characters
// and split at commas.
type list struct {
	header string
	words  []string
	ref    string // absolute reference of its cells
}

// writeLists writes every list of words once and hides the sheet. Hiding it
// after the records were streamed would make excelize parse them all again.
func (b *builder) writeLists() error {
	if _, err := b.file.NewSheet(columns.ListsSheet); err != nil {
		return err
	}
	for _, k := range casebook.Kinds() {
		for _, d := range columnsOf(k) {
			if len(d.Words) == 0 || b.listRef(d.Words) != "" {
				continue
			}
			if err := b.addList(d); err != nil {
				return err
			}
		}
	}
	return b.file.SetSheetVisible(columns.ListsSheet, false)
}

func (b *builder) addList(d columns.Def) error {
	col := len(b.lists) + 1
	name, err := excelize.ColumnNumberToName(col)
	if err != nil {
		return err
	}
	cells := append([]string{d.Header}, d.Words...)
	if err := b.file.SetSheetCol(columns.ListsSheet, name+"1", &cells); err != nil {
		return err
	}
	b.lists = append(b.lists, list{
		header: d.Header, words: d.Words,
		ref: fmt.Sprintf("%s!$%s$2:$%s$%d", columns.ListsSheet, name, name, len(cells)),
	})
	return nil
}

// listRef finds the cells of a list of words.
func (b *builder) listRef(words []string) string {
	for _, l := range b.lists {
		if slices.Equal(l.words, words) {
			return l.ref
		}
	}
	return ""
}
