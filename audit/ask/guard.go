package ask

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
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
	t := v.Type()
	for i := range t.NumField() {
		f := t.Field(i)
		name := t.Name() + "." + f.Name
		if jsonName, _, _ := strings.Cut(f.Tag.Get("json"), ","); f.Type.Kind() == reflect.String && jsonName == "case" && v.Field(i).String() != "" {
			return name
		}
		if f.Type.Kind() == reflect.Int && countsCases(f) {
			if n := v.Field(i).Int(); n > 0 && n < int64(least) && !slices.Contains(open, name) {
				return name
			}
			continue
		}
		if at := smallCount(v.Field(i), least, open); at != "" {
			return f.Name + " " + at
		}
	}
	return ""
}

func countsCases(f reflect.StructField) bool {
	return strings.Contains(f.Name, "Cases") || strings.Contains(f.Tag.Get("json"), "cases") || f.Tag.Get("counts") == "cases"
}
