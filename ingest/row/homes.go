package row

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// homes says which practices a file names for a pseudonym, in any table. A row
// that names no practice of its own belongs to the one that is named elsewhere;
// where several are named it cannot be told and is refused.
type homes map[string]map[string]bool

// FindHomes looks for them in all tables; it is called before the first row is read.
func (r *File) FindHomes() {
	h := homes{}
	for _, t := range r.Tables {
		if !t.Has(columns.Practice) && t.Constants[columns.Practice] == "" || t.Find(columns.Case) == 0 {
			continue
		}
		rr := &Reader{File: r, t: t, plan: r.Plans[t], block: decide.NewBlock(t, r.Plans[t]), looked: make([]bool, t.Sheet.Columns()+1), sources: sourcesOf(t)}
		body := decide.NewBody(t)
		var last [2]sheet.Cell // of the row above
		for _, row := range t.Sheet.Rows {
			if row.Number < t.Body || row.Len() == 0 {
				continue
			}
			if rr.cells = row; row.Broken || !body.Holds(row) {
				rr.Pass(row, body)
				continue
			}
			rr.block.Carry(row)
			now := rr.home()
			if now == last { // rows of one case follow one another
				continue
			}
			last = now
			id, practice := rr.codeOf(columns.Case), rr.codeOf(columns.Practice)
			if id == "" || practice == "" {
				continue
			}
			if h[id] == nil {
				h[id] = map[string]bool{}
			}
			h[id][practice] = true
		}
	}
	r.homes = h
}

// home are the cells that name the case of a row and its practice.
func (r *Reader) home() [2]sheet.Cell {
	id, _ := r.at(columns.Case)
	practice, _ := r.at(columns.Practice)
	return [...]sheet.Cell{id, practice}
}

// codeOf is the code in a cell as it is compared, "" where the cell holds none;
// nothing is noted and nothing refused.
func (r *Reader) codeOf(f columns.Field) string {
	c, _ := r.at(f)
	if c.Kind != sheet.String && c.Kind != sheet.Number || values.IsMissing(c.Text, r.Missing) {
		return ""
	}
	s, _ := r.codeIn(f, c)
	return s
}

// caseKey reads which case the row is about. The practice is the row's own,
// else the one that the file names for the pseudonym; it stays "" where the
// file tells none, for the store to settle.
func (r *Reader) caseKey() casebook.CaseKey {
	k := casebook.CaseKey{ID: r.code(columns.Case, true)}
	if r.t.Has(columns.Practice) || r.t.Constants[columns.Practice] != "" {
		k.Practice = r.code(columns.Practice, false)
	}
	named := r.homes[k.ID]
	if k.ID == "" || k.Practice != "" || len(named) == 0 {
		return k
	}
	if len(named) > 1 {
		_, col := r.at(columns.Case)
		r.reject(rules.PracticeOpen, col, sheet.String, "the file names several practices for this pseudonym and the row none")
		return casebook.CaseKey{}
	}
	// any order: there is one
	for practice := range named {
		k.Practice = practice
	}
	return k
}
