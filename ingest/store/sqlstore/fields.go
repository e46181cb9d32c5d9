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

// wordsBound is wordOrNull for the words of an enumeration, each of which is made an
// argument once and not for every record. What is no word of it stays one that the
// database refuses.
func wordsBound[E interface {
	~uint8
	fmt.Stringer
}]() func(E) any {
	var bound [1 << 8]any
	for i := range bound {
		bound[i] = wordOrNull(E(i))
	}
	return func(e E) any { return bound[e] }
}

// vocabulary reads the words of an enumeration; NULL is its zero value.
type vocabulary[E ~uint8] map[string]E

func vocabularyOf[E interface {
	~uint8
	fmt.Stringer
}](all []E) vocabulary[E] {
	v := make(vocabulary[E], len(all))
	for _, e := range all {
		v[e.String()] = e
	}
	return v
}

// fields reads the columns of one row from left to right. The first value of
// an unexpected kind stops it; the schema's checks allow none.
type fields struct {
	values []any
	next   int
	err    error
	last   casebook.CaseKey
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

// caseKey of a record. Those of one case follow one another and share its text.
func (f *fields) caseKey() casebook.CaseKey {
	if k := (casebook.CaseKey{ID: f.text(), Practice: f.text()}); k != f.last {
		f.last = k
	}
	return f.last
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

func word[E ~uint8](f *fields, v vocabulary[E]) E {
	if n, ok := f.values[f.next].(int64); ok { // see coded
		f.next++
		return E(n)
	}
	s := f.text()
	e, ok := v[s]
	if !ok && s != "" {
		f.fail(s, "a word of the vocabulary")
	}
	return e
}
