package page

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/section/room"
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

// behind reads what a datum of a figure is: the direction of a row, a tooth or a kind, a bar of
// refinements, a quarter of a run chart, a step of the flow.
func behind(r *results.Results, figure, datum string) (what string, q url.Values) {
	kind, rest, _ := strings.Cut(datum, " ")
	switch kind {
	case "direction":
		if d, err := casebook.ParseDirection(rest); err == nil {
			return "behind", cellQuery(results.By{Direction: d, Course: results.Initial})
		}
	case "tooth", "kind":
		if by, ok := behindTooth(&r.Front.Arches, datum); ok {
			return "behind", cellQuery(by)
		}
	case "path":
		for _, s := range r.Questions.Switches.Paths {
			if datum == fmt.Sprintf("path %s %s %s", s.Axis, s.From, s.To) {
				return "behind", url.Values{"axis": {s.Axis.String()}, "had": {s.From.String()}, "style": {s.To.String()}}
			}
		}
	case "flow", "left":
		return behindFlow(kind, rest)
	case "planned":
		return behindPlan(r.Questions.ByPlan, datum)
	case "band":
		for i := range r.Questions.Outlook.Expected {
			if by := r.Questions.Outlook.Expected[i].By; room.BandKey(by) == datum {
				return "behind", cellQuery(by)
			}
		}
	case "followed":
		return "cases", url.Values{"followed": {"yes"}}
	case "clinician", "practice":
		return "cases", url.Values{"of-" + kind: {rest}}
	case "refinements":
		return "cases", url.Values{"refinements": {rest}}
	case "all", "mainly":
		style, n, ok := strings.Cut(rest, "refinements ")
		q := url.Values{"refinements": {n}}
		if style = strings.TrimSpace(style); style != "" {
			q.Set("mainly", style)
		}
		if ok {
			return "cases", q
		}
	case "quarter":
		i, err := strconv.Atoi(figure[strings.LastIndex(figure, "-")+1:])
		if err != nil || i < 0 || i >= len(r.Questions.Reaudit.Criteria) {
			return "", nil
		}
		k := &r.Questions.Reaudit.Criteria[i].Criterion
		if k.Measure == results.CasesRefined {
			return "cases", url.Values{"quarter": {rest}}
		}
		q := cellQuery(k.By())
		q.Set("begun", rest)
		return "behind", q
	}
	return "", nil
}

// behindTooth is the cell whose number stands in a tooth of an arch, that of the tooth,
// of its kind, or of all teeth, where single ones are too few or alike; or the cell of a
// kind whose teeth share one.
func behindTooth(of *results.FrontArches, datum string) (by results.By, ok bool) {
	for _, a := range of.Axes {
		drawn := a.Axis.String()
		if a.Direction != casebook.NoDirection {
			drawn = a.Direction.String()
		}
		for _, t := range a.Teeth {
			if datum == "tooth "+drawn+" "+t.Tooth.String() {
				return a.Of(&t), true
			}
		}
		for i := range a.Kinds {
			if k := &a.Kinds[i]; datum == a.KindKey(k) {
				return a.OfKind(k), true
			}
		}
	}
	return by, false
}

// behindFlow is a step of the flow: the rows that were read stand with the records.
func behindFlow(kind, step string) (what string, q url.Values) {
	if step == "rows" {
		return "rows", url.Values{}
	}
	return "flow", url.Values{kind: {step}}
}

// behindPlan is a group of plans of like size.
func behindPlan(bins []results.PlanBin, datum string) (what string, q url.Values) {
	for _, b := range bins {
		if room.PlanKey(b) != datum {
			continue
		}
		q := cellQuery(results.By{Axis: b.Axis, Style: b.Style, Course: results.Initial})
		for name, v := range map[string]results.Number{"planned-from": b.From, "planned-below": b.To} {
			if v.OK() {
				q.Set(name, strconv.FormatFloat(float64(v), 'g', -1, 64))
			}
		}
		return "behind", q
	}
	return "", nil
}

// bound reads a size of plans from an address, NaN for none.
func bound(q url.Values, name string) float64 {
	v, err := strconv.ParseFloat(q.Get(name), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}
