package sqlstore

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
)

// layouts keeps the references and headers of original rows once for all rows
// of the same shape; what repeats is a sixth of the file otherwise.
type layouts struct {
	tx     *Tx
	fileID int64
	ids    map[string]int64
	key    []byte
	texts  []byte
}

func newLayouts(tx *Tx, fileID int64) *layouts {
	return &layouts{tx: tx, fileID: fileID, ids: map[string]int64{}}
}

// split divides what may be kept of an original row into the id of its layout
// and its texts.
func (l *layouts) split(ctx context.Context, row int, o casebook.Original) (int64, string, error) {
	own := strconv.Itoa(row)
	l.key, l.texts = l.key[:0], append(l.texts[:0], '[')
	var err error
	o.Each(func(c *casebook.RowColumn, text string, kept bool) {
		if !kept {
			return
		}
		l.key = appendSized(appendSized(l.key, place(c.Place, own)), c.Kept)
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
	id, ok := l.ids[string(l.key)]
	if !ok {
		if id, err = l.add(ctx, own, casebook.Keep(o.Cells())); err != nil {
			return 0, "", err
		}
		l.ids[string(l.key)] = id
	}
	return id, string(append(l.texts, ']')), nil
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
	var id int64
	err = l.tx.QueryRowContext(ctx, "INSERT INTO layouts (file_id, cells) VALUES (?, ?) RETURNING id", l.fileID, string(b)).Scan(&id)
	return id, err
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
