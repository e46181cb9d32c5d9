package sqlstore

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
)

// layouts keeps the references and headers of original rows once for all rows
// of the same shape; what repeats is a sixth of the file otherwise.
type layouts struct {
	// insert keeps a layout, as JSON, and gives its id.
	insert func(ctx context.Context, cells string) (int64, error)
	ids    map[string]int64
	recent [16]shape // most rows have one of few
	last   int       // of them, the one of the row before
	kept   []*casebook.RowColumn
	texts  []byte
	brief  bool // no cell is kept
}

// shape is a layout whose columns say the same in every row.
type shape struct {
	columns []*casebook.RowColumn
	id      int64
}

func newLayouts(tx *Tx, fileID int64, brief bool) *layouts {
	return &layouts{brief: brief, ids: map[string]int64{}, insert: func(ctx context.Context, cells string) (id int64, err error) {
		err = tx.QueryRowContext(ctx, "INSERT INTO layouts (file_id, cells) VALUES (?, ?) RETURNING id", fileID, cells).Scan(&id)
		return id, err
	}}
}

// split divides what may be kept of an original row into the id of its layout
// and its texts.
func (l *layouts) split(ctx context.Context, row int, o casebook.Original) (int64, string, error) {
	if l.brief {
		o = casebook.Original{}
	}
	l.kept, l.texts = l.kept[:0], append(l.texts[:0], '[')
	var err error
	o.Each(func(c *casebook.RowColumn, text string, kept bool) {
		if !kept {
			return
		}
		l.kept = append(l.kept, c)
		if len(l.texts) > 1 {
			l.texts = append(l.texts, ',')
		}
		if e := l.text(text); err == nil {
			err = e
		}
	})
	if err != nil {
		return 0, "", err
	}
	id, ok := l.known()
	if !ok {
		if id, err = l.find(ctx, strconv.Itoa(row), o); err != nil {
			return 0, "", err
		}
	}
	return id, string(append(l.texts, ']')), nil
}

// known is the layout of the kept columns, where it is a recent one.
func (l *layouts) known() (id int64, ok bool) {
	for i := range l.recent {
		at := (l.last + i) % len(l.recent)
		if s := &l.recent[at]; len(s.columns) > 0 && slices.Equal(s.columns, l.kept) {
			l.last = at
			return s.id, true
		}
	}
	return 0, false
}

// find looks the layout of the kept columns up, or keeps it.
func (l *layouts) find(ctx context.Context, own string, o casebook.Original) (int64, error) {
	var key []byte
	fixed := true
	for _, c := range l.kept {
		key = appendSized(appendSized(key, place(c.Place, own)), c.Kept)
		fixed = fixed && !strings.ContainsAny(c.Place, "0123456789")
	}
	id, ok := l.ids[string(key)]
	if !ok {
		var err error
		if id, err = l.add(ctx, own, casebook.Keep(o.Cells())); err != nil {
			return 0, err
		}
		l.ids[string(key)] = id
	}
	if fixed { // in the place of the one that came longest ago
		l.last = (l.last + len(l.recent) - 1) % len(l.recent)
		l.recent[l.last] = shape{slices.Clone(l.kept), id}
	}
	return id, nil
}

// text writes a text as JSON; most need no look at their letters.
func (l *layouts) text(s string) error {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' || c == '<' || c == '>' || c == '&' {
			b, err := json.Marshal(s)
			l.texts = append(l.texts, b...)
			return err
		}
	}
	l.texts = append(append(append(l.texts, '"'), s...), '"')
	return nil
}

// appendSized writes a string so that no two lists of strings give one key.
func appendSized(key []byte, s string) []byte {
	return append(binary.AppendUvarint(key, uint64(len(s))), s...)
}

func (l *layouts) add(ctx context.Context, own string, cells []casebook.Cell) (int64, error) {
	pairs := make([][2]string, len(cells))
	for i, c := range cells {
		pairs[i] = [2]string{place(c.Ref, own), c.Header}
	}
	b, err := json.Marshal(pairs)
	if err != nil {
		return 0, err
	}
	return l.insert(ctx, string(b))
}

// place shortens the reference of a cell in the record's own row to its column.
func place(ref, own string) string {
	column, ok := strings.CutSuffix(ref, own)
	if ok && column != "" && !strings.ContainsAny(column, "0123456789") {
		return column
	}
	return ref
}

// join is the inverse of split.
func join(layout, original string, row int) ([]casebook.Cell, error) {
	var pairs [][2]string
	var texts []string
	if err := json.Unmarshal([]byte(layout), &pairs); err != nil {
		return nil, err
	}
	if err := json.Unmarshal([]byte(original), &texts); err != nil {
		return nil, err
	}
	if len(pairs) != len(texts) {
		return nil, fmt.Errorf("an original row of %d cells has a layout of %d", len(texts), len(pairs))
	}
	cells := make([]casebook.Cell, len(texts))
	for i, p := range pairs {
		ref := p[0]
		if ref != "" && !strings.ContainsAny(ref, "0123456789") {
			ref += strconv.Itoa(row)
		}
		cells[i] = casebook.Cell{Ref: ref, Header: p[1], Text: texts[i], Kept: p[1]}
	}
	return cells, nil
}
