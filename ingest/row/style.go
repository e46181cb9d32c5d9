package row

import (
	"maps"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/memo"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// style reads who designed the attachment, and its shape, which some sheets keep
// in the same column.
func (r *Reader) style() (casebook.Style, casebook.Shape) {
	shape := casebook.NoShape
	if c, col, ok := r.usable(columns.Shape); ok {
		read := reading(r, columns.Shape, values.ParseShape).Get(r.same, c.Text)
		if shape = read.value; read.err != nil {
			if s, e := values.ParseStyle(r.Meant(columns.Shape, c.Text)); e == nil && s == casebook.StyleNone && !r.has(columns.Style) {
				return casebook.StyleNone, casebook.NoShape
			}
			r.fail(read.err, col, c)
		}
	}
	if len(r.t.Marks) > 0 {
		return r.styleOfMarks(), shape
	}
	if r.t.NoneCol > 0 {
		if yes, err := values.ParseYesNo(r.cells.At(r.t.NoneCol).Text); err == nil && yes {
			return casebook.StyleNone, casebook.NoShape
		}
	}
	if c, _ := r.at(columns.Style); c.Kind == sheet.Blank && r.has(columns.Style) {
		return r.plan.Style.Blank, shape
	}
	c, col, ok := r.usable(columns.Style)
	if !ok {
		return casebook.NoStyle, shape
	}
	w := r.styleIn(c)
	if w.yes.err == nil && (r.plan.Style.YesNo || r.t.Has(columns.Changed)) {
		return r.styleOfYes(w.yes.value), shape
	}
	if w.style.err != nil {
		if a, ok := values.ParseAttachment(w.meant); ok {
			return a.Style, max(a.Shape, shape)
		}
		if sh, e := values.ParseShape(w.meant); e == nil && shape == casebook.NoShape {
			return casebook.NoStyle, sh
		}
		r.fail(w.style.err, col, c)
	}
	return w.style.value, shape
}

// styleWords is what a text of the column of styles can be.
type styleWords struct {
	meant string
	yes   parsed[bool]
	style parsed[casebook.Style]
}

// styleIn reads the text of a cell, each once.
func (r *Reader) styleIn(c sheet.Cell) styleWords {
	if r.styles == nil {
		r.styles = memo.ByNumber(func(text string) (w styleWords) {
			w.meant = r.Meant(columns.Style, text)
			w.yes.value, w.yes.err = values.ParseYesNo(w.meant)
			w.style.value, w.style.err = values.ParseStyle(w.meant)
			return w
		})
	}
	return r.styles.Get(r.same, c.Text)
}

// styleOfMarks reads the columns that say yes or no to one style each: the one
// that says yes. Where each says no, and none of them is the column of no
// attachment, there was none.
func (r *Reader) styleOfMarks() casebook.Style {
	said, asksNone, no := casebook.NoStyle, false, 0
	for _, col := range slices.Sorted(maps.Keys(r.t.Marks)) {
		style := r.t.Marks[col]
		asksNone = asksNone || style == casebook.StyleNone
		c := r.cells.At(col)
		if c.Kind == sheet.Blank {
			continue
		}
		yes, err := values.ParseYesNo(c.Text)
		switch {
		case err != nil || yes && said != casebook.NoStyle:
			r.cost(r.problem(rules.StyleUnknown, col, c.Kind, "the columns of the attachment cannot be read together"), columns.Style)
			return casebook.NoStyle
		case yes:
			said = style
		default:
			no++
		}
	}
	if said == casebook.NoStyle && !asksNone && no == len(r.t.Marks) {
		return casebook.StyleNone
	}
	return said
}

// whole is an attachment that one cell describes.
type whole values.Attachment

// attachment reads a cell of the style that describes the whole attachment.
func (r *Reader) attachment() whole {
	c, _ := r.at(columns.Style)
	if c.Kind != sheet.String {
		return whole{}
	}
	a, _ := values.ParseAttachment(c.Text)
	return whole(a)
}

// add gives a movement what no column of its own says.
func (w whole) add(m *casebook.Movement) {
	if m.Orientation == casebook.NoOrientation {
		m.Orientation = w.Orientation
	}
	if !m.SizeMM.OK {
		m.SizeMM = w.SizeMM
	}
	if w.Lost && !m.Lost.OK {
		m.Lost = casebook.Some(true)
	}
}

// styleOfYes joins "was there an attachment" with "did the clinician change it".
func (r *Reader) styleOfYes(yes bool) casebook.Style {
	if !yes {
		return casebook.StyleNone
	}
	changed := optionalField(r, columns.Changed, values.ParseYesNo)
	switch {
	case changed.OK && changed.Value:
		return casebook.ClinicianDesigned
	case changed.OK:
		return casebook.SoftwareSuggested
	}
	return r.plan.Style.Yes
}
