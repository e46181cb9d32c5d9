package row

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// tooth reads the one tooth of a row.
func (r *Reader) tooth() casebook.Tooth {
	if all := r.teeth(); len(all) > 0 {
		return all[0]
	}
	return 0
}

// teeth reads the tooth of a row, or each of several in one cell where that was
// allowed. What cannot be read is one tooth 0, and rejects the row.
func (r *Reader) teeth() []casebook.Tooth {
	if r.pair != nil && r.pair.Tooth != "" {
		t, err := values.ParseTooth(r.Jaws.English(r.pair.Tooth, false)).In(r.NotationOf(r.t))
		if err != nil {
			r.fail(err, r.pair.Cols[columns.Planned], sheet.Cell{Kind: sheet.String})
		}
		return r.one(t)
	}
	c, col, ok := r.need(columns.Tooth)
	if !ok {
		return r.one(0)
	}
	if c.Kind == sheet.Date {
		r.reject(rules.ToothDate, col, c.Kind, "the tooth was turned into a date")
		return r.one(0)
	}
	if r.plan.Composed {
		return r.one(r.composedTooth(c, col))
	}
	parts := append(r.oneText[:0], c.Text)
	if several := r.several(c.Text); len(several) > 1 {
		parts = several
	}
	out := r.oneTooth[:0]
	for _, part := range parts {
		t, err := values.ParseTooth(r.Jaws.English(part, false)).In(r.NotationOf(r.t))
		if err != nil {
			r.fail(err, col, c)
		} else {
			r.inQuadrant(t, col, c)
		}
		out = append(out, t)
	}
	return out
}

// several are the teeth of a cell, where cells of several were allowed.
func (r *Reader) several(text string) []string {
	if !r.SeveralTeeth {
		return nil
	}
	return values.Teeth(text)
}

// one is a list of one tooth, until the next.
func (r *Reader) one(t casebook.Tooth) []casebook.Tooth {
	r.oneTooth[0] = t
	return r.oneTooth[:]
}

// quadrant reads the quadrant of a row from its own column, or from arch and
// side: "" where none of them is filled or one cannot be read.
func (r *Reader) quadrant() string {
	read := func(f columns.Field, parse func(string) string) string {
		c, _, ok := r.usable(f)
		if !ok {
			return ""
		}
		return parse(r.Jaws.English(c.Text, f == columns.Arch))
	}
	if q := read(columns.Quadrant, values.ParseQuadrant); q != "" {
		return q
	}
	arch, side := read(columns.Arch, values.ParseArch), read(columns.Side, values.ParseSide)
	if arch == "" || side == "" {
		return ""
	}
	return arch + side
}

// composedTooth joins a number from 1 to 8 with its quadrant.
func (r *Reader) composedTooth(c sheet.Cell, col int) casebook.Tooth {
	q := r.quadrant()
	if q == "" {
		r.reject(rules.ToothUnknown, col, c.Kind, "the quadrant beside the tooth is blank or cannot be read")
		return 0
	}
	t, err := values.ParseTooth(q + strings.TrimSuffix(strings.TrimSpace(c.Text), ".0")).In(casebook.Palmer)
	if err != nil {
		r.fail(err, col, c)
	}
	return t
}

// inQuadrant refuses a tooth that its own quadrant column contradicts.
func (r *Reader) inQuadrant(t casebook.Tooth, col int, c sheet.Cell) {
	if q := r.quadrant(); q != "" && t != 0 && t.In(casebook.Palmer)[:2] != q {
		r.reject(rules.ToothUnknown, col, c.Kind, "the tooth is not in the quadrant that stands beside it")
	}
}
