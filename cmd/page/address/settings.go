// Package address is what the addresses of the page say and where the data of figures lead:
// the settings of an audit, the cell of a number, the step of a flow.
//
// Place in the pipeline: below cmd/page, which answers at these addresses; it reads results
// and no records.
package address

import (
	"cmp"
	"errors"
	"math"
	"net/url"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Settings reads the settings of an audit from the query of an address, by the names
// that the flags of the command line have. What is not there stays as it is.
func Settings(q url.Values) (results.Settings, error) {
	s := results.DefaultSettings()
	var err error
	if err := cmp.Or(month(q, "from", &s.Period.From), month(q, "to", &s.Period.To)); err != nil {
		return s, err
	}
	if v := strings.TrimSpace(q.Get("quarter")); v != "" {
		if s.Period.Quarter, err = casebook.ParseQuarter(v); err != nil {
			return s, errors.New("a quarter is written 2026 Q3 or Q3 2026")
		}
	}
	s.Period.Clinician = strings.TrimSpace(q.Get("clinician"))
	if err := cmp.Or(tolerance(q, "tolerance-mm", &s.ToleranceMM), tolerance(q, "tolerance-deg", &s.ToleranceDeg)); err != nil {
		return s, err
	}
	if v := q.Get("teeth"); v != "" {
		if s.Notation, err = casebook.ParseNotation(v); err != nil {
			return s, errors.New("teeth are shown in fdi, universal or palmer notation")
		}
	}
	s.Shared = q.Get("shared") == "yes"
	return s, s.Check()
}

// month reads a month that a query gives under a name, if it gives one.
func month(q url.Values, name string, to *casebook.Month) (err error) {
	v := strings.TrimSpace(q.Get(name))
	if v == "" {
		return nil
	}
	if *to, err = casebook.ParseMonth(v); err != nil {
		return errors.New("the month after “" + name + "” is written 2026-07")
	}
	return nil
}

// tolerance reads a number that a query gives under a name, if it gives one.
func tolerance(q url.Values, name string, to *float64) error {
	v := strings.TrimSpace(q.Get(name))
	if v == "" {
		return nil
	}
	x, err := strconv.ParseFloat(strings.Replace(v, ",", ".", 1), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return errors.New("the tolerance is a number such as 0.5")
	}
	*to = x
	return nil
}

// settingNames are the parts of an address that say how an audit is made.
var settingNames = []string{"from", "to", "quarter", "clinician", "tolerance-mm", "tolerance-deg", "teeth", "shared", "since"}

// Kept is what of a query says how an audit is made.
func Kept(q url.Values) url.Values {
	out := url.Values{}
	for _, name := range settingNames {
		if v := q.Get(name); v != "" {
			out.Set(name, v)
		}
	}
	return out
}

// OfCase is the query of an address that names a case, and CaseOf the case that one names.
func OfCase(k casebook.CaseKey) string { return Query("practice", k.Practice, "id", k.ID) }

// CaseOf reads what OfCase wrote, from an address or a form.
func CaseOf(q url.Values) casebook.CaseKey {
	return casebook.CaseKey{Practice: q.Get("practice"), ID: q.Get("id")}
}

// Query is that of an address, of names and values in turn.
func Query(pairs ...string) string {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Set(pairs[i], pairs[i+1])
	}
	return v.Encode()
}
