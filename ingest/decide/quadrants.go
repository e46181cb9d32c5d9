package decide

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/values"
)

// decideQuadrants settles what codes such as SI and II mean by all that the file writes, and
// else by a question.
func (r *File) decideQuadrants(texts []toothText) {
	first := map[string]question.Question{}
	for _, x := range texts {
		for _, part := range parted(x.text) {
			alone := x.field == columns.Arch || x.field == columns.Tooth && !strings.ContainsAny(part, "12345678")
			if code := values.QuadrantCode(part); code != "" && !alone && first[code].Cell == "" {
				first[code] = x.place
			}
		}
	}
	codes := slices.Sorted(maps.Keys(first))
	if len(codes) == 0 {
		return
	}
	orders := values.Settle(codes)
	order := ""
	switch len(orders) {
	case 0:
	case 1:
		order = orders[0]
	default:
		order = r.askQuadrants(first[codes[0]], codes, orders)
	}
	r.Quadrants = values.Quadrants{}
	for _, c := range codes {
		r.Quadrants[c] = values.QuadrantsIn(order)[c]
	}
}

// quadrantNames as a sentence writes them.
var quadrantNames = map[string]string{"UR": "upper right", "UL": "upper left", "LL": "lower left", "LR": "lower right"}

func (r *File) askQuadrants(q question.Question, codes, orders []string) string {
	q.ID, q.Rule = "quadrants", string(rules.NotationAsk)
	q.Text = fmt.Sprintf("which quadrant is written %s?", strings.Join(codes, ", and which "))
	why := map[string]string{
		values.JawFirst: "superior and inferior before the side", values.SideFirst: "the side before superior and inferior", values.Numbers: "Roman numbers: I to IV",
	}
	for _, o := range orders {
		var parts []string
		for _, c := range codes {
			parts = append(parts, c+" is "+quadrantNames[values.QuadrantsIn(o)[c]])
		}
		q.Choices = append(q.Choices, question.Choice{Word: o, Text: why[o] + "; " + strings.Join(parts, ", ")})
	}
	return r.Asker.Ask(q)
}

// English writes a tooth, a quadrant or, alone, a jaw in the letters of English ones, as the file
// means its own.
func (r *File) English(text string, alone bool) string {
	if alone {
		return r.Jaws.English(text, true)
	}
	return r.Jaws.English(r.Quadrants.English(text), false)
}
