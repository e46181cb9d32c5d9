package page

import (
	"math"
	"net/url"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// settingsOf reads the settings of an audit from the query of an address, by the names
// that the flags of the command line have. What is not there stays as it is.
func settingsOf(q url.Values) (results.Settings, error) {
	s := results.DefaultSettings()
	var err error
	for name, to := range map[string]*casebook.Month{"from": &s.Period.From, "to": &s.Period.To} {
		if v := strings.TrimSpace(q.Get(name)); v != "" {
			if *to, err = casebook.ParseMonth(v); err != nil {
				return s, wrong("the month after “" + name + "” is written 2026-07")
			}
		}
	}
	if v := strings.TrimSpace(q.Get("quarter")); v != "" {
		if s.Period.Quarter, err = casebook.ParseQuarter(v); err != nil {
			return s, wrong("a quarter is written 2026 Q3 or Q3 2026")
		}
	}
	s.Period.Clinician = strings.TrimSpace(q.Get("clinician"))
	for name, to := range map[string]*float64{"tolerance-mm": &s.ToleranceMM, "tolerance-deg": &s.ToleranceDeg} {
		if v := strings.TrimSpace(q.Get(name)); v != "" {
			x, err := strconv.ParseFloat(strings.Replace(v, ",", ".", 1), 64)
			if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
				return s, wrong("the tolerance is a number such as 0.5")
			}
			*to = x
		}
	}
	if v := q.Get("teeth"); v != "" {
		if s.Notation, err = casebook.ParseNotation(v); err != nil {
			return s, wrong("teeth are shown in fdi, universal or palmer notation")
		}
	}
	s.Shared = q.Get("shared") == "yes"
	if err := s.Check(); err != nil {
		return s, wrong(err.Error())
	}
	return s, nil
}

// settingNames are the parts of an address that say how an audit is made.
var settingNames = []string{"from", "to", "quarter", "clinician", "tolerance-mm", "tolerance-deg", "teeth", "shared", "since"}

// asked keeps of a query what says how an audit is made.
func settingsQuery(q url.Values) url.Values {
	out := url.Values{}
	for _, name := range settingNames {
		if v := q.Get(name); v != "" {
			out.Set(name, v)
		}
	}
	return out
}

// cellOf reads the cell of the grid that an address names.
func cellOf(q url.Values) (by results.By, err error) {
	read := func(name string, into interface{ UnmarshalText([]byte) error }) {
		if v := q.Get(name); v != "" && err == nil {
			err = into.UnmarshalText([]byte(v))
		}
	}
	read("axis", &by.Axis)
	read("direction", &by.Direction)
	read("tooth_class", &by.ToothClass)
	read("arch", &by.Arch)
	read("style", &by.Style)
	if v := q.Get("tooth"); v != "" && err == nil {
		n, nerr := strconv.Atoi(v)
		if by.Tooth, err = casebook.ToothFromFDI(n); nerr != nil {
			err = nerr
		}
	}
	switch c := results.CourseStratum(q.Get("course")); c {
	case "", results.Initial, results.Refinement:
		by.Course = c
	default:
		err = errNothing
	}
	if err != nil {
		return by, errNothing
	}
	if by.Direction != casebook.NoDirection {
		by.Axis = by.Direction.Axis()
	}
	return by, nil
}

// cellQuery is the address of a cell.
func cellQuery(by results.By) url.Values {
	q := url.Values{}
	set := func(name, v string, there bool) {
		if there {
			q.Set(name, v)
		}
	}
	set("axis", by.Axis.String(), by.Axis != casebook.NoAxis && by.Direction == casebook.NoDirection)
	set("direction", by.Direction.String(), by.Direction != casebook.NoDirection)
	set("tooth", by.Tooth.String(), by.Tooth != 0)
	set("tooth_class", by.ToothClass.String(), by.ToothClass != casebook.NoClass)
	set("arch", by.Arch.String(), by.Arch != casebook.NoArch)
	set("style", by.Style.String(), by.Style != casebook.NoStyle)
	set("course", string(by.Course), by.Course != "")
	return q
}
