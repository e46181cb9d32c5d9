package row

import (
	"cmp"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/memo"
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
		t, err := values.ParseTooth(r.English(r.pair.Tooth, false)).In(r.NotationOf(r.t))
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
	out := r.oneTooth[:0]
	for _, t := range r.teethIn(c) {
		out = append(out, r.toothOf(t, col, c))
	}
	return out
}

// teethIn are the teeth that a cell names; each text is read once.
func (r *Reader) teethIn(c sheet.Cell) []values.Tooth {
	if r.teethOf == nil {
		r.teethOf = memo.ByNumber(func(text string) (out []values.Tooth) {
			parts := []string{text}
			if several := r.several(text); len(several) > 1 {
				parts = several
			}
			for _, part := range parts {
				out = append(out, values.ParseTooth(r.English(part, false)))
			}
			return out
		})
	}
	return r.teethOf.Get(r.same, c.Text)
}

// toothOf reads one tooth of a cell.
func (r *Reader) toothOf(t values.Tooth, col int, c sheet.Cell) casebook.Tooth {
	if (t.Name != values.ToothName{}) {
		return r.namedTooth(t.Name, col, c)
	}
	out, err := t.In(r.NotationOf(r.t))
	if err != nil {
		r.fail(err, col, c)
	} else {
		r.inQuadrant(out, col, c)
	}
	return out
}

// namedTooth reads a tooth in words; what they leave open the columns beside it say.
func (r *Reader) namedTooth(n values.ToothName, col int, c sheet.Cell) casebook.Tooth {
	jaw, side := r.beside()
	if n.Jaw != "" && jaw != "" && n.Jaw != jaw || n.Side != "" && side != "" && n.Side != side {
		r.reject(rules.ToothUnknown, col, c.Kind, againstQuadrant)
		return 0
	}
	n.Jaw, n.Side = cmp.Or(n.Jaw, jaw), cmp.Or(n.Side, side)
	t, ok := n.Tooth()
	if !ok {
		p := r.problem(rules.ToothUnknown, col, c.Kind, "the name of the tooth does not say "+n.Lacks()+", and no column beside it does")
		p.Remedy = "Write the tooth in full, such as upper right first molar, or add columns of its jaw and side"
		r.row.Add(p)
	}
	return t
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
	jaw, side := r.beside()
	if jaw == "" || side == "" {
		return ""
	}
	return jaw + side
}

// beside reads jaw and side of a row, each "" where no column tells it.
func (r *Reader) beside() (jaw, side string) {
	read := func(f columns.Field) string {
		c, _, ok := r.usable(f)
		if !ok {
			return ""
		}
		return c.Text
	}
	if text := read(columns.Quadrant); text != "" {
		if q := values.ParseQuadrant(r.English(text, false)); q != "" {
			return q[:1], q[1:]
		}
	}
	if text := read(columns.Arch); text != "" {
		jaw = values.ParseArch(r.English(text, true))
	}
	if text := read(columns.Side); text != "" {
		side = values.ParseSide(text)
	}
	return jaw, side
}

// composedTooth joins a number from 1 to 8 with its quadrant.
func (r *Reader) composedTooth(c sheet.Cell, col int) casebook.Tooth {
	if n := values.ParseTooth(c.Text).Name; (n != values.ToothName{}) {
		return r.namedTooth(n, col, c)
	}
	q := r.quadrant()
	if q == "" {
		r.noQuadrant(c, col)
		return 0
	}
	t, err := values.ParseTooth(q + strings.TrimSuffix(strings.TrimSpace(c.Text), ".0")).In(casebook.Palmer)
	if err != nil {
		r.fail(err, col, c)
	}
	return t
}

// noQuadrant says what is wrong beside the number of a tooth: a cell that is filled and not
// understood, or that none is.
func (r *Reader) noQuadrant(c sheet.Cell, col int) {
	p := r.problem(rules.ToothUnknown, col, c.Kind, "the quadrant beside the tooth is blank")
	jaw, side := r.beside()
	open := map[columns.Field]bool{columns.Quadrant: true, columns.Arch: jaw == "", columns.Side: side == ""}
	for _, f := range []columns.Field{columns.Quadrant, columns.Arch, columns.Side} {
		if beside, at := r.at(f); open[f] && at > 0 && (beside.Kind == sheet.String || beside.Kind == sheet.Number) {
			p = r.problem(rules.ToothUnknown, at, beside.Kind, "the "+f.String()+" of the tooth cannot be read")
		}
	}
	p.Remedy = "Write the quadrant as UR, UL, LL or LR, as 1 to 4, or in words: upper right"
	r.row.Add(p)
}

const againstQuadrant = "the tooth is not in the quadrant that stands beside it"

// inQuadrant refuses a tooth that its own quadrant column contradicts.
func (r *Reader) inQuadrant(t casebook.Tooth, col int, c sheet.Cell) {
	if q := r.quadrant(); q != "" && t != 0 && t.In(casebook.Palmer)[:2] != q {
		r.reject(rules.ToothUnknown, col, c.Kind, againstQuadrant)
	}
}
