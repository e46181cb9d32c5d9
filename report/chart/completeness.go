package chart

import "strconv"

func itoa(n int) string { return strconv.Itoa(n) }

// CompleteRow is one field with how much of it is recorded.
type CompleteRow struct {
	Label string
	Share float64 // 0 to 1; NaN where there is nothing to record
	Text  string
}

// Completeness is a list of bars, one a field.
type Completeness struct {
	Title string
	Rows  []CompleteRow
	Width float64
}

// Figure draws two columns of bars, read down the first, then the second.
func (c Completeness) Figure(desc string) *Figure {
	half := (len(c.Rows) + 1) / 2
	f := &Figure{Title: c.Title, Desc: desc, W: c.Width, H: float64(half) * RowHeight}
	const gap = 8.0
	w := (c.Width - gap) / 2
	textW := 0.0 // of the widest count, so that all bars end alike
	for _, r := range c.Rows {
		textW = max(textW, width(r.Text, false))
	}
	for i, r := range c.Rows {
		x, y := 0.0, float64(i)*RowHeight
		if i >= half {
			x, y = w+gap, float64(i-half)*RowHeight
		}
		c.row(f, r, x, y, w, textW)
	}
	return f
}

func (c Completeness) row(f *Figure, r CompleteRow, x, y, w, textW float64) {
	const labelW = 46.0
	f.text(x, y+3.4, fitText(r.Label, labelW, false), Start, false)
	bar := Box{x + labelW + 1, y + 1, w - labelW - textW - 3, 2.6}
	pale, ink := PaleGrey, Grey
	f.add(Rect{bar, 0, &pale, Pen{}})
	if r.Share > 0 {
		b := bar
		b.W *= r.Share
		f.add(Rect{b, 0, &ink, Pen{}})
	}
	f.ink(x+w, y+3.4, r.Text, End, false, Muted)
}
