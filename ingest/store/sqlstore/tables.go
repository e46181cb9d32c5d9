package sqlstore

import (
	"cmp"
	"fmt"
	"strings"

	"shortfall/ingest/casebook"
)

// table says how the records of one kind are kept: the columns of the key,
// then those of the value, then provenance.
type table[T comparable, K comparable] struct {
	kind   casebook.Kind
	name   string
	keys   []string
	values []string
	key    func(T) K
	// keyArgs gives the key columns in order.
	keyArgs func(K) []any
	// args appends the key and value columns in order.
	args func(to []any, v T) []any
	// read is the inverse of args.
	read func(*fields) T
	// codes are expressions for columns of few values, whose numbers read takes too (narrow.go).
	codes map[string]string
	// told are columns that others tell.
	told []string
}

var (
	axisWords         = vocabularyOf(casebook.Axes())
	styleWords        = vocabularyOf(casebook.Styles())
	shapeWords        = vocabularyOf(casebook.Shapes())
	orientationWords  = vocabularyOf(casebook.Orientations())
	stagingWords      = vocabularyOf(casebook.Stagings())
	ageWords          = vocabularyOf(casebook.AgeBands())
	statusWords       = vocabularyOf(casebook.Statuses())
	wearWords         = vocabularyOf(casebook.Wears())
	timingWords       = vocabularyOf(casebook.Timings())
	methodWords       = vocabularyOf(casebook.Methods())
	confirmationWords = vocabularyOf(casebook.Confirmations())
	kindWords         = vocabularyOf(casebook.Kinds())
)

// Words of movements as they are written.
var (
	axisArg         = wordsBound[casebook.Axis]()
	unitArg         = wordsBound[casebook.Unit]()
	styleArg        = wordsBound[casebook.Style]()
	shapeArg        = wordsBound[casebook.Shape]()
	orientationArg  = wordsBound[casebook.Orientation]()
	stagingArg      = wordsBound[casebook.Staging]()
	methodArg       = wordsBound[casebook.Method]()
	confirmationArg = wordsBound[casebook.Confirmation]()
)

// provenance columns follow the key and the value of every record.
var provenance = []string{"file_id", "sheet", "row", "layout_id", "original"}

var caseTable = table[casebook.Case, casebook.CaseKey]{
	kind: casebook.CaseKind, name: "cases",
	keys: []string{"case_id", "practice"},
	values: []string{
		"clinician", "age_band", "start_month", "end_month", "status",
		"planned_aligners", "change_days", "wear", "wear_recorded", "stated_refinements",
		"own_age_band", "own_wear", "own_status",
	},
	key:     casebook.Case.Key,
	keyArgs: func(k casebook.CaseKey) []any { return []any{k.ID, k.Practice} },
	args: func(to []any, c casebook.Case) []any {
		return append(to,
			c.ID, c.Practice, textOrNull(c.Clinician), wordOrNull(c.AgeBand),
			wordOrNull(c.Start), wordOrNull(c.End), wordOrNull(c.Status), orNull(c.PlannedAligners),
			orNull(c.ChangeDays), wordOrNull(c.Wear), wordOrNull(c.WearRecorded), orNull(c.StatedRefinements),
			textOrNull(c.Own.AgeBand), textOrNull(c.Own.Wear), textOrNull(c.Own.Status),
		)
	},
	read: func(f *fields) casebook.Case {
		return casebook.Case{
			ID: f.text(), Practice: f.text(), Clinician: f.text(), AgeBand: word(f, ageWords),
			Start: f.month(), End: f.month(), Status: word(f, statusWords), PlannedAligners: f.optInteger(),
			ChangeDays: f.optInteger(), Wear: word(f, wearWords), WearRecorded: word(f, timingWords), StatedRefinements: f.optInteger(),
			Own: casebook.Own{AgeBand: f.text(), Wear: f.text(), Status: f.text()},
		}
	},
}

var courseTable = table[casebook.Course, casebook.CourseKey]{
	kind: casebook.CourseKind, name: "courses",
	keys:    []string{"case_id", "practice", "course"},
	values:  []string{"start_month", "aligners_planned", "aligners_used", "measured_by"},
	key:     casebook.Course.Key,
	keyArgs: func(k casebook.CourseKey) []any { return []any{k.Case.ID, k.Case.Practice, k.Number} },
	args: func(to []any, c casebook.Course) []any {
		return append(to, c.Case.ID, c.Case.Practice, c.Number, wordOrNull(c.Start), orNull(c.AlignersPlanned), orNull(c.AlignersUsed), wordOrNull(c.MeasuredBy))
	},
	read: func(f *fields) casebook.Course {
		return casebook.Course{
			Case: f.caseKey(), Number: f.integer(), Start: f.month(),
			AlignersPlanned: f.optInteger(), AlignersUsed: f.optInteger(), MeasuredBy: word(f, methodWords),
		}
	},
}

var movementTable = table[casebook.Movement, casebook.MovementKey]{
	kind: casebook.MovementKind, name: "movements",
	keys: []string{"case_id", "practice", "course", "tooth", "axis"},
	values: []string{
		"planned", "achieved", "stated_percent", "size_only", "style", "shape", "orientation",
		"size_mm", "lost", "lost_month", "staging", "measured_by", "confirmed", "unit",
	},
	key:     casebook.Movement.Key,
	keyArgs: movementKeyArgs,
	args: func(to []any, m casebook.Movement) []any {
		return append(to,
			m.Case.ID, m.Case.Practice, int64(m.Course), int64(m.Tooth), axisArg(m.Axis),
			m.Planned, orNull(m.Achieved), orNull(m.StatedPercent), m.SizeOnly,
			styleArg(m.Style), shapeArg(m.Shape), orientationArg(m.Orientation), orNull(m.SizeMM),
			orNull(m.Lost), orNull(m.LostMonth), stagingArg(m.Staging), methodArg(m.MeasuredBy), confirmationArg(m.Confirmed), unitArg(m.Axis.Unit()),
		)
	},
	read: func(f *fields) casebook.Movement {
		return casebook.Movement{
			Case: f.caseKey(), Course: f.integer(), Tooth: casebook.Tooth(f.integer()), Axis: word(f, axisWords),
			Planned: f.real(), Achieved: f.optReal(), StatedPercent: f.optReal(), SizeOnly: f.truth(),
			Style: word(f, styleWords), Shape: word(f, shapeWords), Orientation: word(f, orientationWords),
			SizeMM: f.optReal(), Lost: f.optTruth(), LostMonth: f.optInteger(), Staging: word(f, stagingWords), MeasuredBy: word(f, methodWords),
			Confirmed: word(f, confirmationWords),
		}
	},
	codes: map[string]string{
		"tooth": codedNumber("tooth"), "axis": axisWords.coded("axis"), "size_only": codedNumber("size_only"),
		"style": styleWords.coded("style"), "shape": shapeWords.coded("shape"), "orientation": orientationWords.coded("orientation"),
		"lost": codedNumber("lost"), "staging": stagingWords.coded("staging"), "measured_by": methodWords.coded("measured_by"),
		"confirmed": confirmationWords.coded("confirmed"),
	},
	told: []string{"unit"}, // by the axis
}

var repeatTable = table[casebook.Repeat, casebook.MovementKey]{
	kind: casebook.RepeatKind, name: "repeats",
	keys:    []string{"case_id", "practice", "course", "tooth", "axis"},
	values:  []string{"first", "second", "unit"},
	key:     casebook.Repeat.Key,
	keyArgs: movementKeyArgs,
	args: func(to []any, r casebook.Repeat) []any {
		return append(to,
			r.Case.ID, r.Case.Practice, r.Course, int(r.Tooth), r.Axis.String(), r.First, r.Second, r.Axis.Unit().String(),
		)
	},
	read: func(f *fields) casebook.Repeat {
		return casebook.Repeat{
			Case: f.caseKey(), Course: f.integer(), Tooth: casebook.Tooth(f.integer()), Axis: word(f, axisWords),
			First: f.real(), Second: f.real(),
		}
	},
}

func movementKeyArgs(k casebook.MovementKey) []any {
	return []any{k.Case.ID, k.Case.Practice, k.Course, int(k.Tooth), k.Axis.String()}
}

// compareArgs orders keys as the database does.
func compareArgs(a, b []any) int {
	for i := range a {
		c := 0
		switch x := a[i].(type) {
		case string:
			c = cmp.Compare(x, b[i].(string))
		case int:
			c = cmp.Compare(x, b[i].(int))
		}
		if c != 0 {
			return c
		}
	}
	return 0
}

// columns in the order of args and read.
func (t *table[T, K]) columns() []string {
	return append(append([]string{}, t.keys...), t.values...)
}

// InsertRows is a statement for so many rows.
func InsertRows(table string, columns []string, rows int) string {
	one := "(" + strings.Repeat("?,", len(columns)-1) + "?)"
	return fmt.Sprintf("INSERT INTO %s (%s) VALUES %s", table, strings.Join(columns, ","),
		strings.TrimSuffix(strings.Repeat(one+",", rows), ","))
}

// hasKey matches one record by its key.
func (t *table[T, K]) hasKey() string { return strings.Join(t.keys, " = ? AND ") + " = ?" }

// every column of the table.
func (t *table[T, K]) every() []string { return append(t.columns(), provenance...) }

// archive copies the current version of one record into the history; its
// arguments are how, the file and the key.
func (t *table[T, K]) archive(d Dialect) string {
	from := strings.Join(provenance, ", ")
	return fmt.Sprintf("INSERT INTO history (kind, how, replaced_by, case_id, practice, value, %s) SELECT '%s', ?, ?, case_id, practice, %s, %s FROM %s WHERE %s",
		from, t.kind, d.Object(t.name, t.columns()), from, t.name, t.hasKey())
}

// versions selects the current records of one case as History selects old ones.
func (t *table[T, K]) versions(d Dialect) string {
	return fmt.Sprintf(`SELECT '%s', %s, f.name, f.sha256, f.size, r.sheet, r.row, l.cells, r.original, '', '', '', 0
		FROM %s r JOIN files f ON f.id = r.file_id JOIN layouts l ON l.id = r.layout_id WHERE r.case_id = ? AND r.practice = ? ORDER BY %s`,
		t.kind, d.Object("r", t.columns()), t.name, strings.Join(t.keys, ", "))
}
