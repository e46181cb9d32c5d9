package ask

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
)

// SmallCount looks through a value for a number of cases from 1 to least-1, or for the
// pseudonym of a case, and says where the first one is; "" where there is none. A number
// of cases is an int field whose name in Go or in JSON says cases, or whose tag does
// (counts:"cases"); a pseudonym is a text called "case" in JSON. open lists the
// exceptions as "Type.Field".
func SmallCount(v any, least int, open []string) string {
	return smallCount(reflect.ValueOf(v), least, open)
}

func smallCount(v reflect.Value, least int, open []string) string {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			return smallCount(v.Elem(), least, open)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if at := smallCount(v.Index(i), least, open); at != "" {
				return fmt.Sprintf("%d: %s", i, at)
			}
		}
	case reflect.Struct:
		return smallField(v, least, open)
	}
	return ""
}

func smallField(v reflect.Value, least int, open []string) string {
	for _, f := range fieldsOf(v.Type()) {
		switch at := v.Field(f.index); f.holds {
		case aPseudonym:
			if at.String() != "" {
				return f.name
			}
		case aCount:
			if n := at.Int(); n > 0 && n < int64(least) && !slices.Contains(open, f.name) {
				return f.name
			}
		default:
			if below := smallCount(at, least, open); below != "" {
				return f.short + " " + below
			}
		}
	}
	return ""
}

// field is one that is looked at: a pseudonym, a number of cases, or what may hold some.
type field struct {
	index       int
	name, short string
	holds       holding
}

type holding int

const (
	others holding = iota
	aPseudonym
	aCount
)

// looked are the fields of the types met so far: their names and tags are read once and
// not for each row.
var looked sync.Map

func fieldsOf(t reflect.Type) []field {
	if known, ok := looked.Load(t); ok {
		return known.([]field)
	}
	var out []field
	for i := range t.NumField() {
		f := t.Field(i)
		one := field{i, t.Name() + "." + f.Name, f.Name, others}
		jsonName, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch kind := f.Type.Kind(); {
		case kind == reflect.String && jsonName == "case":
			one.holds = aPseudonym
		case kind == reflect.Int && countsCases(f):
			one.holds = aCount
		case kind == reflect.Pointer, kind == reflect.Interface, kind == reflect.Slice, kind == reflect.Array, kind == reflect.Struct:
		default:
			continue
		}
		out = append(out, one)
	}
	looked.Store(t, out)
	return out
}

func countsCases(f reflect.StructField) bool {
	return strings.Contains(f.Name, "Cases") || strings.Contains(f.Tag.Get("json"), "cases") || f.Tag.Get("counts") == "cases"
}
