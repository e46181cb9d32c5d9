package store

import (
	"errors"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
)

// sound holds the records that a plan adds to the checks of the schema of a database
// (sqlite/migrations), for where there is none: a record that breaks one was made by a
// mistake of ours, and is refused all the same.
func sound(b *casebook.Batch, p *Plan, path string) error {
	if f := b.File; len(f.SHA256) != 64 || strings.Trim(f.SHA256, "0123456789abcdef") != "" || f.Size < 0 {
		return New(Refused, path, errors.New("what is said of the file breaks a rule of the database"))
	}
	for _, s := range b.Sheets {
		c := s.Counts
		if min(c.Read, c.Accepted, c.Rejected, c.Blank) < 0 || c.Read != c.Accepted+c.Rejected+c.Blank || !oneOf(kinds, s.Kind) {
			return New(Refused, path, errors.New("the rows of a sheet do not add up"))
		}
	}
	for i := range b.Rejected {
		if r := &b.Rejected[i]; r.Source.Row < 0 || !oneOf(kinds, r.Kind) {
			return New(Refused, path, errors.New("a rejected row breaks a rule of the database"))
		}
	}
	for i := range b.Problems {
		if s := b.Problems[i].Severity; s != casebook.Info && s != casebook.Warning && s != casebook.Error {
			return New(Refused, path, errors.New("a problem breaks a rule of the database"))
		}
	}
	for _, err := range []error{
		soundOf(b.Cases, p.Cases.Add, soundCase, casebook.CaseKind, path),
		soundOf(b.Courses, p.Courses.Add, soundCourse, casebook.CourseKind, path),
		soundOf(b.Movements, p.Movements.Add, soundMovement, casebook.MovementKind, path),
		soundOf(b.Repeats, p.Repeats.Add, soundRepeat, casebook.RepeatKind, path),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

func soundOf[T any](records []casebook.Record[T], add []int, ok func(*T) bool, kind casebook.Kind, path string) error {
	for _, i := range add {
		if r := &records[i]; !ok(&r.Value) || r.Source.Row < 0 {
			return Refuse(Refused, path, r.Source.Sheet, r.Source.Row, "the %s breaks a rule of the database", kind)
		}
	}
	return nil
}

// words are which values of an enumeration there are, "not recorded" among them.
type words [1 << 8]bool

func wordsOf[E ~uint8](all []E) *words {
	w := &words{0: true}
	for _, e := range all {
		w[e] = true
	}
	return w
}

func oneOf[E ~uint8](w *words, e E) bool { return w[e] }

var (
	kinds         = wordsOf(casebook.Kinds())
	styles        = wordsOf(casebook.Styles())
	shapes        = wordsOf(casebook.Shapes())
	orientations  = wordsOf(casebook.Orientations())
	stagings      = wordsOf(casebook.Stagings())
	ageBands      = wordsOf(casebook.AgeBands())
	statuses      = wordsOf(casebook.Statuses())
	wears         = wordsOf(casebook.Wears())
	timings       = wordsOf(casebook.Timings())
	methods       = wordsOf(casebook.Methods())
	confirmations = wordsOf(casebook.Confirmations())
)

func soundCase(c *casebook.Case) bool {
	return c.ID != "" && oneOf(ageBands, c.AgeBand) && soundMonth(c.Start) && soundMonth(c.End) && oneOf(statuses, c.Status) &&
		atLeast(0, c.PlannedAligners) && atLeast(0, c.ChangeDays) && oneOf(wears, c.Wear) && oneOf(timings, c.WearRecorded) &&
		atLeast(0, c.StatedRefinements) && soundOwn(c.Own.AgeBand) && soundOwn(c.Own.Wear) && soundOwn(c.Own.Status)
}

func soundCourse(c *casebook.Course) bool {
	return c.Case.ID != "" && c.Number >= 1 && soundMonth(c.Start) && atLeast(0, c.AlignersPlanned) && atLeast(0, c.AlignersUsed) && oneOf(methods, c.MeasuredBy)
}

func soundMovement(m *casebook.Movement) bool {
	return soundKey(m.Case, m.Course, m.Tooth, m.Axis) && oneOf(styles, m.Style) && oneOf(shapes, m.Shape) && oneOf(orientations, m.Orientation) &&
		atLeast(0, m.SizeMM) && atLeast(0, m.LostMonth) && oneOf(stagings, m.Staging) && oneOf(methods, m.MeasuredBy) && oneOf(confirmations, m.Confirmed)
}

func soundRepeat(r *casebook.Repeat) bool { return soundKey(r.Case, r.Course, r.Tooth, r.Axis) }

func soundKey(k casebook.CaseKey, course int, t casebook.Tooth, a casebook.Axis) bool {
	return k.ID != "" && course >= 1 && t.Valid() && a.Unit() != casebook.NoUnit
}

// soundMonth holds of months that are written with four digits of a year.
func soundMonth(m casebook.Month) bool { return m == 0 || m.Year() >= 0 && m.Year() <= 9999 && m > 0 }

// soundOwn bounds words of a practice's own.
func soundOwn(s string) bool { return utf8.RuneCountInString(s) <= 24 }

func atLeast[T int | float64](least T, o casebook.Opt[T]) bool { return !o.OK || o.Value >= least }
