package section

import (
	"fmt"
	"slices"
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
	c := chart.Arches{Title: words.Title, Across: across, Flat: onlyFirst, Side: onlyFirst, Named: onlyFirst && a.Named(), Reach: a.Reach, Thin: a.Thin}
	var desc []string
	data := document.Table{Title: words.Title, Columns: []document.Column{{Title: "Tooth"}}}
	whole := document.Row{Cells: []document.Cell{{Text: "All teeth"}}}
	rows := map[string]*document.Row{}
	var order []string
	row := func(label string) *document.Row {
		if rows[label] == nil {
			rows[label] = &document.Row{Cells: []document.Cell{{Text: label}}}
			order = append(order, label)
		}
		return rows[label]
	}
	axes := slices.DeleteFunc(slices.Clone(a.Axes), func(x results.FrontArch) bool {
		return onlyFirst && !x.First || !onlyFirst && x.Direction != casebook.NoDirection
	})
	m.kindRows(axes, row)
	for _, x := range axes {
		arch := chart.Arch{Title: titleOf(&x), Under: x.Under}
		arch.Kinds, arch.Heads = m.archKinds(&x)
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
			r := row(label)
			r.Cells = append(r.Cells, document.Cell{Text: cellText(t), Datum: tooth.ID, To: m.ofTooth(&x, &t)})
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
	c.Desc = strings.Join(desc, "; ") + "; numbers are percentages of the planned movement that was achieved."
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
	case t.Alike:
		return "as all teeth"
	case t.OfKind:
		return "as its kind"
	}
	return wording.Whole(t.Value)
}

// archKinds are the values that teeth share, a row a kind: in both jaws, or each apart.
func (m *maker) archKinds(x *results.FrontArch) (out []chart.ArchKind, heads []string) {
	if len(x.Kinds) == 0 {
		return nil, nil
	}
	jaws := []casebook.Arch{casebook.NoArch} // both together
	if x.Kinds[0].Arch != casebook.NoArch {
		jaws = casebook.Arches()
		heads = []string{"upper", "lower"}
	}
	for _, class := range casebook.ToothClasses() {
		kind := chart.ArchKind{Name: wording.Teeth(class)}
		some := false
		for _, jaw := range jaws {
			v := chart.KindValue{Text: wording.Dash} // nothing was planned
			for i := range x.Kinds {
				if k := &x.Kinds[i]; k.Class == class && k.Arch == jaw {
					v, some = m.kindValue(x, k), some || !k.Few // the hatching says what is too few
				}
			}
			kind.Values = append(kind.Values, v)
		}
		if !some {
			continue
		}
		if v := &kind.Values[0]; len(out) == 0 && len(jaws) == 1 && v.Cases != "" {
			v.Cases += " cases" // said once
		}
		out = append(out, kind)
	}
	return out, heads
}

func (m *maker) kindValue(x *results.FrontArch, k *results.FrontKind) chart.KindValue {
	v := chart.KindValue{ID: x.KindKey(k), Value: room.Number(k.Value), Few: k.Few, Strong: k.Meant, Lower: k.Lower, Near: k.Near, Thin: k.Thin(), Text: "too few"}
	v.Title = kindName(k) + ": too few cases to show"
	if !k.Few {
		v.Text, v.Cases = wording.Percent(k.Value), wording.Count(k.Cases)
		v.Title = fmt.Sprintf("%s, %s: %s of the plan, %s", kindName(k), strings.ToLower(x.Name), v.Text, wording.Of(k.Cases, "case"))
		if k.Low < k.High && k.Short.OK() && k.Arch == casebook.NoArch { // results of older versions have none
			v.Text = wording.Whole(k.Value)
			v.Limits = "(" + wording.Limits(k.Low, k.High) + ")"
			if k.Meant { // beside the others it would read as a second ranking
				v.Short = wording.Fine(k.Short, x.Axis.Unit())
			}
		}
	}
	return v
}

func kindName(k *results.FrontKind) string {
	return wording.Capital(strings.TrimSpace(k.Arch.String() + " " + wording.Teeth(k.Class)))
}

// titleOf is the name of an arch, and why it is drawn where it needs a reason.
func titleOf(x *results.FrontArch) string {
	if x.Note != "" {
		return x.Name + " (" + x.Note + ")"
	}
	return x.Name
}

// kindRows are the rows of kinds in the table behind the arches.
func (m *maker) kindRows(axes []results.FrontArch, row func(string) *document.Row) {
	var names []string
	for i := range axes {
		for j := range axes[i].Kinds {
			if name := kindName(&axes[i].Kinds[j]); !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	for _, name := range names {
		r := row(name)
		for i := range axes {
			cell := document.Cell{}
			for j := range axes[i].Kinds {
				if k := &axes[i].Kinds[j]; kindName(k) == name {
					v := m.kindValue(&axes[i], k)
					cell = document.Cell{Text: v.Text, Datum: v.ID, To: m.first(room.RowID(axes[i].OfKind(k)), "arches")}
				}
			}
			r.Cells = append(r.Cells, cell)
		}
	}
}

func (m *maker) archTooth(x results.FrontArch, t results.FrontTooth, label string) chart.ArchTooth {
	out := chart.ArchTooth{ID: x.ToothKey(&t), Label: label, Value: room.Number(t.Value), Few: t.Few, Strong: t.Meant, Lower: t.Lower, Near: t.Near, Thin: t.Thin}
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
	switch {
	case t.Alike:
		out.Joined, out.Text = "all", ""
	case len(x.Kinds) > 0 && (t.OfKind || t.Few):
		out.Joined, out.Text = t.Tooth.Class().String(), ""
	}
	return out
}
