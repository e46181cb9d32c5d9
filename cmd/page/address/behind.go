package address

import (
	"net/url"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/section/room"
)

// Behind reads what a datum of a figure is: the direction of a row, a tooth or a kind, a bar of
// refinements, a quarter of a run chart, a step of the flow.
func Behind(r *results.Results, figure, datum string) (what string, q url.Values) {
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
			if datum == room.PathKey(&s) {
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
		for _, t := range a.Teeth {
			if datum == a.ToothKey(&t) {
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
		limit := func(name string, v results.Number) {
			if v.OK() {
				q.Set(name, strconv.FormatFloat(float64(v), 'g', -1, 64))
			}
		}
		limit("planned-from", b.From)
		limit("planned-below", b.To)
		return "behind", q
	}
	return "", nil
}
