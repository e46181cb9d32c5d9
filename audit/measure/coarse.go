package measure

import (
	"math"
	"reflect"
	"sync"

	"shortfall/audit/results"
	"shortfall/audit/stats/round"
)

// Coarsen rounds the numbers of results that leave the practice, so that neither a number
// nor the difference of two reports gives the amounts of one patient back (Hundepool et al.
// 2012, Statistical Disclosure Control, 4.6, rounding; from memory). Numbers that were
// declared, and counts, stay: their fields are tagged `exact`. Ratios that are printed in pairs,
// apart by their difference, have four decimals, since a pair of two digits each need not be.
// Rounding twice is rounding once.
func Coarsen(r *results.Results) {
	v := reflect.ValueOf(r).Elem()
	for i := range v.NumField() {
		if v.Type().Field(i).Name != "Provenance" { // holds what was declared, and no result
			coarsen(v.Field(i))
		}
	}
}

var number = reflect.TypeFor[results.Number]()

// rounding is how a field is rounded, or what lies in it.
type rounding int

const (
	byDigits rounding = iota
	inPairs
	notAtAll
)

// roundings keeps what the tags of a type say, since reading them took most of the time.
var roundings sync.Map

func roundingOf(of reflect.Type) []rounding {
	if known, ok := roundings.Load(of); ok {
		return known.([]rounding)
	}
	out := make([]rounding, of.NumField())
	for i := range out {
		tag := of.Field(i).Tag
		if _, exact := tag.Lookup("exact"); exact {
			out[i] = notAtAll
		} else if tag.Get("coarse") == "paired" {
			out[i] = inPairs
		}
	}
	roundings.Store(of, out)
	return out
}

func coarsen(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			coarsen(v.Elem())
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			coarsen(v.Index(i))
		}
	case reflect.Struct:
		for i, how := range roundingOf(v.Type()) {
			switch f := v.Field(i); how {
			case inPairs:
				f.SetFloat(round.HalfAway(f.Float(), 4))
			case byDigits:
				coarsen(f)
			}
		}
	case reflect.Float64:
		if v.Type() == number {
			v.SetFloat(Coarse(v.Float()))
		}
	}
}

// Coarse rounds to two significant digits, numbers below 0.1 to three: those are P values
// and widths. What is not a number stays.
func Coarse(x float64) float64 {
	size := math.Abs(x)
	if size == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	decimals := 1 - int(math.Floor(math.Log10(size)))
	if size < 0.1 {
		decimals++
	}
	if decimals < 0 {
		unit := math.Pow10(-decimals)
		return unit * round.HalfAway(x/unit, 0)
	}
	return round.HalfAway(x, min(decimals, 15))
}
