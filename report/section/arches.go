package section

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// arches draws those of page one, or every axis.
func (m *maker) arches(id string, across int, onlyFirst bool) (document.Figure, bool) {
	a := m.front.Arches
	words := a.FrontFigure
	if !onlyFirst && a.ByTooth.Title != "" { // results of older versions have one title
		words = a.ByTooth
	}
	c := chart.Arches{Title: words.Title, Across: across, Flat: onlyFirst, Side: onlyFirst}
	var desc []string
	data := document.Table{Title: words.Title, Columns: []document.Column{{Title: "Tooth"}}}
	whole := document.Row{Cells: []document.Cell{{Text: "All teeth"}}}
	rows := map[string]*document.Row{}
	var order []string
	for _, x := range a.Axes {
		if onlyFirst && !x.First || !onlyFirst && x.Direction != casebook.NoDirection {
			continue
		}
		arch := chart.Arch{Title: x.Name, Under: x.Under}
		all := document.Cell{}
		if c, ok := m.Cells[results.By{Axis: x.Axis, Direction: x.Direction, Course: results.Initial}]; ok && !c.Suppressed && c.Estimate.OK() {
			all.Text = wording.Whole(c.Estimate)
			if x.Direction != casebook.NoDirection {
				arch.ID = room.Key(x.Direction)
				all.Datum, all.To = arch.ID, m.ofArch(&x)
			}
		}
		whole.Cells = append(whole.Cells, all)
		data.Columns = append(data.Columns, document.Column{Title: x.Name + " %", Number: true})
		for _, t := range x.Teeth {
			label := t.Tooth.In(m.Settings.Notation)
			tooth := m.archTooth(x, t, label)
			arch.Teeth = append(arch.Teeth, tooth)
			if rows[label] == nil {
				rows[label] = &document.Row{Cells: []document.Cell{{Text: label}}}
				order = append(order, label)
			}
			rows[label].Cells = append(rows[label].Cells, document.Cell{Text: cellText(t), Datum: tooth.ID, To: m.ofTooth(&x, &t)})
		}
		desc = append(desc, x.Name+": "+x.Under)
		c.Arches = append(c.Arches, arch)
	}
	if len(c.Arches) == 0 {
		return document.Figure{}, false
	}
	data.Rows = append(data.Rows, whole)
	for _, label := range order {
		data.Rows = append(data.Rows, *rows[label])
	}
	c.Desc = strings.Join(desc, "; ") + "; the number in each tooth is the percentage of the planned movement that was achieved."
	below := document.Text(nil)
	if words.Below != "" && !onlyFirst {
		below = document.Quiet(words.Below)
	}
	return document.Figure{ID: id, Title: words.Title, Sub: document.Quiet(words.Sub), To: m.first(room.Anchor("expression.classes"), "directions"), Desc: c.Desc, Drawings: []document.Drawing{c}, Data: room.OrNoData(&data), Below: below}, true
}

func cellText(t results.FrontTooth) string {
	switch {
	case t.Few:
		return "too few"
	case !t.Value.OK():
		return ""
	}
	return wording.Whole(t.Value)
}

func (m *maker) archTooth(x results.FrontArch, t results.FrontTooth, label string) chart.ArchTooth {
	of := x.Axis.String()
	if x.Direction != casebook.NoDirection {
		of = x.Direction.String()
	}
	out := chart.ArchTooth{ID: "tooth " + of + " " + t.Tooth.String(), Label: label, Value: room.Number(t.Value), Few: t.Few, Strong: t.Meant, Lower: t.Lower}
	switch {
	case t.Few:
		out.Title = fmt.Sprintf("tooth %s: too few cases to show", label)
	case t.OfKind:
		out.Text = wording.Whole(t.Value)
		out.Title = fmt.Sprintf("tooth %s, %s: %s %% of the plan over all teeth of its kind, %s", label, strings.ToLower(x.Name), out.Text, wording.Of(t.Cases, "case"))
	case t.Value.OK():
		out.Text = wording.Whole(t.Value)
		out.Title = fmt.Sprintf("tooth %s, %s: %s %% of the plan (its own: %s %%), %s", label, strings.ToLower(x.Name), out.Text, wording.Whole(t.Raw), wording.Of(t.Cases, "case"))
	default:
		out.Title = fmt.Sprintf("tooth %s: none planned", label)
	}
	if t.Alike {
		out.Text = ""
	}
	return out
}
