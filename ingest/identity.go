package ingest

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// homes says which practices a file names for a pseudonym, in any table. A row
// that names no practice of its own belongs to the one that is named elsewhere;
// where several are named it cannot be told and is refused.
type homes map[string]map[string]bool

func (r *reader) findHomes() homes {
	h := homes{}
	for _, t := range r.Tables {
		if !t.Has(columns.Practice) && t.Constants[columns.Practice] == "" || t.Find(columns.Case) == 0 {
			continue
		}
		rr := &rowReader{reader: r, t: t, plan: r.Plans[t], block: decide.NewBlock(t, r.Plans[t]), looked: make([]bool, t.Sheet.Columns()+1)}
		body := decide.NewBody(t)
		for _, row := range t.Sheet.Rows {
			if row.Number < t.Body || row.Len() == 0 {
				continue
			}
			if rr.cells = row; row.Broken || !body.Holds(row) {
				rr.pass(row, body)
				continue
			}
			rr.block.Carry(row)
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
	return h
}

// codeOf is the code in a cell as it is compared, "" where the cell holds none;
// nothing is noted and nothing refused.
func (r *rowReader) codeOf(f columns.Field) string {
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
func (r *rowReader) caseKey() casebook.CaseKey {
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

// reading tells apart two readings of the same bytes: a hash of what was declared
// about the file, "" where nothing was. An answer that was remembered counts as one
// that was given: the same bytes read alike are the same file.
func (o Options) reading(used question.Answers) string {
	given := question.Answers{}
	for id, word := range used {
		if o.Mapping == nil || o.Mapping.Answers[id] != word {
			given[id] = word
		}
	}
	if o.Mapping == nil && o.Notation == casebook.NoNotation && len(given) == 0 {
		return ""
	}
	if len(given) == 0 {
		given = o.Answers // none, written as it always was
	}
	b, err := json.Marshal(struct {
		Mapping  *mapping.File
		Notation casebook.Notation
		Answers  question.Answers
	}{o.Mapping, o.Notation, given})
	if err != nil {
		panic(err) // a mapping holds texts, numbers and words alone
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:8])
}
