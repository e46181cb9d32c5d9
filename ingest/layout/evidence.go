package layout

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// evidenceRows is how many cells of a column are looked at.
const evidenceRows = 2000

// profile counts what the cells of a column are.
type profile struct {
	n                      int // cells that hold a value
	numbers, amounts       int // plain numbers; those, and texts with a number
	dates                  int
	teeth, octant          int // teeth in some notation; numbers 1 to 8
	axes, directions       int
	styles, shapes, yesNo  int
	orientations, statuses int
	ages, courses, sides   int
	arches, wears, units   int
	decimals, negative     int
	distinct               map[string]int // texts, up to some
	courseNumbers          map[int]bool   // those that were read
}

// mostCourses is more than any patient is treated in: a column that counts higher counts
// something else.
const mostCourses = 12

func newProfile() profile {
	return profile{distinct: map[string]int{}, courseNumbers: map[int]bool{}}
}

func (t *Table) profile(col int) profile {
	p := newProfile()
	type value struct {
		kind sheet.Kind
		text string
	}
	times := map[value]int{} // a column repeats its values: each is read once
	var order []value
	for _, r := range t.Sheet.Rows {
		c := r.At(col)
		if r.Number < t.Body || r.Broken || c.Kind == sheet.Blank {
			continue
		}
		v := value{c.Kind, c.Text}
		if times[v] == 0 {
			if values.IsMissing(c.Text, nil) || values.IsTotal(c.Text) {
				continue
			}
			order = append(order, v)
		}
		times[v]++
		if p.n++; p.n == evidenceRows {
			break
		}
	}
	for _, v := range order {
		p.note(sheet.Cell{Kind: v.kind, Text: v.text}, times[v])
	}
	return p
}

// note counts a cell that a column holds so many times.
func (p *profile) note(c sheet.Cell, times int) {
	if len(p.distinct) < 200 || p.distinct[c.Text] > 0 {
		p.distinct[c.Text] += times
	}
	is := func(n *int, yes bool) {
		if yes {
			*n += times
		}
	}
	if c.Kind == sheet.Date {
		p.dates += times
		return
	}
	if len(c.Text) > longestValue {
		return
	}
	v, err := strconv.ParseFloat(c.Text, 64)
	is(&p.numbers, err == nil)
	is(&p.octant, err == nil && v >= 1 && v <= 8 && v == float64(int(v)))
	is(&p.decimals, err == nil && v != float64(int(v)))
	a, e := values.ParseAmount(c.Text, 0)
	is(&p.amounts, err == nil || e == nil)
	is(&p.negative, e == nil && a.Value < 0 && !startsWithLetter(c.Text))
	is(&p.teeth, len(values.Teeth(c.Text)) > 0)
	is(&p.dates, c.Kind == sheet.String && isDate(c.Text))
	if err == nil {
		_, e = values.NumberMonth(c.Text, false)
		is(&p.dates, e == nil)
		n, whole := int(v), v == float64(int(v))
		is(&p.courses, whole && n >= 0 && n <= 20)
		p.courseNumbers[n] = true
		is(&p.ages, whole && n >= 4 && n <= 110)
		return
	}
	p.word(c.Text, is)
}

// isDate reports a date or a month, whichever of day and month is written first.
func isDate(text string) bool {
	_, day := values.ParseMonth(text, values.DayFirst)
	if day == nil {
		return true
	}
	_, month := values.ParseMonth(text, values.MonthFirst)
	return month == nil
}

// startsWithLetter tells "C-001" from an amount with its sign.
func startsWithLetter(s string) bool {
	first, _ := utf8.DecodeRuneInString(strings.TrimSpace(s))
	return unicode.IsLetter(first)
}

// longestValue of any field in bytes; a longer text is evidence of none.
const longestValue = 500

// word counts the fields of which a text is a known word.
func (p *profile) word(text string, is func(*int, bool)) {
	ok := func(_ any, err error) bool { return err == nil }
	_, _, err := values.ParseAxis(text)
	is(&p.axes, err == nil)
	turning := values.TurningOf(text) // right and left may as well be a side of the mouth
	is(&p.directions, ok(values.ParseDirection(text, casebook.NoAxis)) || values.SideWord(text) || turning == values.OfClock || turning == values.UpDown)
	is(&p.styles, ok(values.ParseStyle(text)))
	is(&p.shapes, ok(values.ParseShape(text)))
	is(&p.yesNo, ok(values.ParseYesNo(text)))
	is(&p.orientations, ok(values.ParseOrientation(text)))
	is(&p.statuses, ok(values.ParseStatus(text)))
	is(&p.ages, ok(values.ParseAgeBand(text)) || ok(values.ParseAge(text)))
	course, err := values.ParseCourse(text)
	if n, ordered := values.Ordinal(text); ordered {
		course, err = n, nil
	}
	is(&p.courses, err == nil)
	if err == nil {
		p.courseNumbers[course] = true
	}
	is(&p.wears, ok(values.ParseWear(text)))
	is(&p.units, ok(values.ParseUnit(text)))
	is(&p.sides, values.ParseSide(text) != "")
	is(&p.arches, values.ParseArch(text) != "")
}

// mostly reports that nine in ten of the cells are so.
func (p profile) mostly(n int) bool { return p.n > 0 && 10*n >= 9*p.n }

// some reports that at least half of the cells are so.
func (p profile) some(n int) bool { return p.n > 0 && 2*n >= p.n }

// fits reports whether the values of a column can be those of a field; a column
// without values fits any.
func (p profile) fits(f columns.Field) bool {
	if p.n == 0 {
		return true
	}
	if columns.IsPlain(f) {
		return !p.some(p.numbers) && !p.some(p.dates)
	}
	switch f {
	case columns.Planned, columns.Achieved, columns.Residual, columns.StartPosition, columns.EndPosition, columns.TargetPosition,
		columns.First, columns.Second, columns.StatedPercent, columns.FeatureSize:
		return p.some(p.amounts) && !p.some(p.dates-p.decimals)
	case columns.Tooth:
		return p.some(p.teeth)
	case columns.Axis:
		return !p.some(p.numbers) && !p.some(p.dates)
	case columns.Direction:
		return !p.some(p.numbers)
	case columns.StartMonth, columns.EndMonth, columns.CourseStart:
		return p.some(p.dates)
	case columns.Age:
		return p.some(p.numbers) || p.some(p.ages)
	case columns.AgeBand:
		return !p.some(p.dates)
	case columns.Status, columns.Wear, columns.Staging, columns.Orientation, columns.Unit:
		return !p.some(p.numbers)
	case columns.PlannedAligners, columns.AlignersPlanned, columns.AlignersUsed, columns.ChangeDays, columns.Refinements, columns.LostMonth:
		return p.some(p.numbers)
	case columns.Style:
		return !p.some(p.shapes-p.styles) && !p.some(p.decimals)
	case columns.Shape:
		return !p.some(p.numbers)
	case columns.Side:
		return p.some(p.sides)
	case columns.Arch:
		return p.some(p.arches)
	case columns.Quadrant:
		return p.some(p.numbers) || p.some(p.texts())
	case columns.Course:
		return (p.some(p.courses) || p.some(p.yesNo)) && len(p.courseNumbers) <= mostCourses
	}
	return true
}

// shows reports that the values of a column are those of a field and hardly of
// another.
func (p profile) shows(f columns.Field) bool {
	switch f {
	case columns.NoField:
		return false
	case columns.Axis:
		return p.some(p.axes)
	case columns.Shape:
		return p.some(p.shapes)
	case columns.AgeBand:
		return p.some(p.ages)
	case columns.Status:
		return p.some(p.statuses)
	}
	return p.n > 0 && p.fits(f)
}

// texts is how many cells are no plain numbers and no dates.
func (p profile) texts() int { return p.n - p.numbers - p.dates }

// octantOnes counts the numbers 0 and 1, which say no and yes.
func (p profile) octantOnes() int { return p.distinct["0"] + p.distinct["1"] }
