package sqlstore

import (
	"fmt"

	"shortfall/ingest/casebook"
)

// Values out of a record, as SQLite takes them. A missing value becomes NULL.

func orNull[T any](o casebook.Opt[T]) any {
	if !o.OK {
		return nil
	}
	return o.Value
}

func textOrNull(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func wordOrNull(w fmt.Stringer) any { return textOrNull(w.String()) }

// vocabulary reads the words of an enumeration; NULL is its zero value.
type vocabulary[E any] map[string]E

func vocabularyOf[E fmt.Stringer](all []E) vocabulary[E] {
	v := make(vocabulary[E], len(all))
	for _, e := range all {
		v[e.String()] = e
	}
	return v
}

var (
	axisWords        = vocabularyOf(casebook.Axes())
	styleWords       = vocabularyOf(casebook.Styles())
	shapeWords       = vocabularyOf(casebook.Shapes())
	orientationWords = vocabularyOf(casebook.Orientations())
	stagingWords     = vocabularyOf(casebook.Stagings())
	ageWords         = vocabularyOf(casebook.AgeBands())
	statusWords      = vocabularyOf(casebook.Statuses())
	wearWords        = vocabularyOf(casebook.Wears())
	timingWords      = vocabularyOf(casebook.Timings())
	methodWords      = vocabularyOf(casebook.Methods())
	kindWords        = vocabularyOf(casebook.Kinds())
)

// fields reads the columns of one row from left to right. The first value of
// an unexpected kind stops it; the schema's checks allow none.
type fields struct {
	values []any
	next   int
	err    error
}

func (f *fields) take() any {
	v := f.values[f.next]
	f.next++
	return v
}

func (f *fields) fail(v any, expected string) {
	if f.err == nil {
		f.err = fmt.Errorf("column %d holds %T where %s was expected", f.next, v, expected)
	}
}

// scanned reads a value that may be NULL.
func scanned[T any](f *fields, expected string) casebook.Opt[T] {
	v := f.take()
	if v == nil {
		return casebook.Opt[T]{}
	}
	t, ok := v.(T)
	if !ok {
		f.fail(v, expected)
	}
	return casebook.Opt[T]{Value: t, OK: ok}
}

func (f *fields) text() string { return scanned[string](f, "text").Value }
func (f *fields) caseKey() casebook.CaseKey {
	id := f.text()
	return casebook.CaseKey{ID: id, Practice: f.text()}
}

func (f *fields) real() float64                  { return scanned[float64](f, "a number").Value }
func (f *fields) optReal() casebook.Opt[float64] { return scanned[float64](f, "a number") }
func (f *fields) integer() int                   { return int(scanned[int64](f, "a whole number").Value) }

func (f *fields) optInteger() casebook.Opt[int] {
	v := scanned[int64](f, "a whole number")
	return casebook.Opt[int]{Value: int(v.Value), OK: v.OK}
}

func (f *fields) truth() bool { return f.integer() != 0 }

func (f *fields) optTruth() casebook.Opt[bool] {
	v := scanned[int64](f, "0 or 1")
	return casebook.Opt[bool]{Value: v.Value != 0, OK: v.OK}
}

func (f *fields) month() casebook.Month {
	var m casebook.Month
	if err := m.UnmarshalText([]byte(f.text())); err != nil && f.err == nil {
		f.err = err
	}
	return m
}

func word[E any](f *fields, v vocabulary[E]) E {
	s := f.text()
	e, ok := v[s]
	if !ok && s != "" {
		f.fail(s, "a word of the vocabulary")
	}
	return e
}
