package chart

import "fmt"

var moves = []struct {
	name string
	move Move
}{
	{"Extrusion", Move{Vertical, 1}},
	{"Intrusion", Move{Vertical, -1}},
	{"Rotation, mesial side in", Move{Rotation, 1}},
	{"Rotation, mesial side out", Move{Rotation, -1}},
	{"Tip mesial", Move{Tip, 1}},
	{"Tip distal", Move{Tip, -1}},
	{"Torque buccal", Move{Torque, 1}},
	{"Torque lingual", Move{Torque, -1}},
	{"Shift mesial", Move{ShiftAlong, 1}},
	{"Shift distal", Move{ShiftAlong, -1}},
	{"Shift buccal", Move{ShiftAcross, 1}},
	{"Shift lingual", Move{ShiftAcross, -1}},
}

func archOf(title string, third bool) Arch {
	a := Arch{Title: title, Under: "all teeth 41 %"}
	for i := range 32 {
		t := ArchTooth{ID: fmt.Sprintf("tooth %d", i), Label: fmt.Sprintf("%d%d", 1+i/8, 1+i%8), Title: "a tooth", Value: 0.28 + 0.017*float64((i*7)%32)}
		t.Text = percentLabel(t.Value)
		if p := i % 16; (p == 0 || p == 15) && !third {
			t.Value = nan
		}
		switch i {
		case 5:
			t.Few = true
		case 20:
			t.Value, t.Text = 1.02, "102"
		case 22:
			t.Value, t.Text = -0.04, "−4"
		case 12:
			t.Strong = true
		case 27:
			t.Value = nan
		}
		a.Teeth = append(a.Teeth, t)
	}
	return a
}

// kindsOf is an arch whose teeth share values: three kinds, one of which has too few
// cases, one named by the title and one as low.
func kindsOf(title string, jaws bool) Arch {
	a := archOf(title, false)
	for i := range a.Teeth {
		t := &a.Teeth[i]
		t.Text, t.Few, t.Strong, t.Lower = "", false, false, false
		switch pos := min(i%16, 15-i%16); {
		case i == 27:
			continue // none planned
		case pos < 3:
			t.Joined, t.Value, t.Strong = "molar", 0.31, true
		case pos < 5:
			t.Joined, t.Value, t.Few = "premolar", nan, true
		case pos == 5:
			t.Joined, t.Value, t.Lower = "canine", 0.3, true
		default:
			t.Joined, t.Value, t.Thin = "incisor", 0.52, true
		}
	}
	value := func(name, text string, v float64) KindValue {
		return KindValue{ID: "kind " + title + name, Title: name, Text: text, Value: v, Cases: "77"}
	}
	molar, canine := value("molars", "31 %", 0.31), value("canines", "30 %", 0.3)
	molar.Strong, canine.Lower = true, true
	few := KindValue{ID: "kind " + title + "premolars", Title: "premolars", Text: "too few", Value: nan, Few: true}
	a.Kinds = []ArchKind{{"incisors", []KindValue{value("incisors", "52 %", 0.52)}}, {"canines", []KindValue{canine}}, {"premolars", []KindValue{few}}, {"molars", []KindValue{molar}}}
	if jaws {
		a.Heads = []string{"upper", "lower"}
		for i, k := range a.Kinds {
			second := k.Values[0]
			second.ID += " lower"
			a.Kinds[i].Values = append(k.Values, second)
		}
	}
	return a
}

func newerSwitches() Switches {
	switches := Switches{Title: "switches", Desc: "switches", Interval: "95 % CI", Groups: []SwitchGroup{{Title: "Rotation", Under: "had software-suggested"}, {Title: "Buccolingual torque", Under: "had no attachment"}}}
	for i, to := range []float64{0.26, 0.45, 0.2, 0.255, 0.25, 1.5} {
		r := SwitchRow{ID: fmt.Sprint("path ", i), Title: "t", Name: "to clinician-designed", Cases: "22", From: 0.25, To: to, FromText: "25", ToText: percentLabel(to), Lo: 0.27, Hi: 0.36, Mark: Marker(i % 3), Difference: "+16", Limits: "−1 to +33"}
		if i%3 == 0 {
			r.Name, r.Kept, r.Difference, r.Limits = "kept", true, "", ""
		}
		if i == 4 {
			r.Strong, r.Lo, r.Hi = true, nan, nan
		}
		switches.Groups[i/3].Rows = append(switches.Groups[i/3].Rows, r)
	}
	return switches
}

func newerFigures() map[string]Drawing {
	dots := Dots{Title: "dots", Desc: "dots", Software: "software-suggested", Clinician: "clinician-designed", Interval: "95 % CI", NoInterval: "fewer than 10 cases: no interval"}
	groups := []DotGroup{{Title: "Clear difference"}, {Title: "No clear difference; a true one of up to 13 points, at worst 61, could be missed"}, {Title: "Cannot be compared"}}
	twelve := Twelve{Title: "twelve", Desc: "twelve", Interval: "95 % CI"}
	for i, m := range moves {
		s := 0.35 + 0.03*float64(i)
		r := DotRow{ID: m.name, Title: m.name, Move: m.move, Name: m.name, Pair: true, Software: s, Clinician: s - 0.15 + 0.03*float64(i)}
		r.SoftwareText, r.ClinicianText = percentLabel(r.Software), percentLabel(r.Clinician)
		r.Difference, r.Limits, r.Amount = "+14", "+9 to +20", "+0.13 mm"
		r.Patients, r.Gap = "54", r.Clinician-r.Software
		r.Low, r.High = r.Gap-0.05-0.02*float64(i), r.Gap+0.05+0.02*float64(i)
		g := 1
		switch {
		case i < 3:
			g, r.Strong = 0, true
		case i == 9:
			r.Clinician, r.ClinicianText = 1.2, "120"
		case i > 9:
			g, r.Pair, r.Pooled, r.PooledText, r.Reason = 2, false, 0.5, "50", "3 of 10 patients have both styles"
			r.Low, r.High = 0.4, 0.62
			if i == 11 {
				r.Low, r.High, r.PooledText = nan, nan, "50 (no CI)"
			}
		}
		groups[g].Rows = append(groups[g].Rows, r)
		twelve.Rows = append(twelve.Rows, TwelveRow{ID: m.name, Title: m.name, Move: m.move, Name: m.name, Est: s, Low: s - 0.06, High: s + 0.07, Text: "52 (44 to 60)", Outside: "41 %", N: "138 / 1\u2009061"})
	}
	twelve.Rows[3].High = 1.6
	twelve.Rows[7].Low, twelve.Rows[7].High = nan, nan
	dots.Groups = groups
	change := Change{Title: "change", Desc: "change", Earlier: "before", Then: "2026 Q3", Interval: "95 % CI"}
	for i, m := range moves {
		b := 0.35 + 0.03*float64(i)
		change.Rows = append(change.Rows, ChangeRow{ID: m.name, Title: m.name, Move: m.move, Name: m.name, Before: b, Now: b + 0.2 - 0.03*float64(i), Low: b - 0.05, High: b + 0.3, Difference: "+12", Limits: "+3 to +21", Cases: "96, 20", Strong: i == 2})
	}
	change.Rows[5].High = 1.4 // beyond the scale
	var slopes []Slope
	for i, v := range []float64{0.22, 0.31, 0.33} {
		slopes = append(slopes, Slope{ID: fmt.Sprint(i), Title: "t", From: v, To: v + 0.2 - 0.05*float64(i), Label: "kept software-suggested 51", Before: percentLabel(v), Strong: i == 1})
	}
	panel := SlopePanel{Title: "Rotation", Under: "% of plan", Slopes: slopes, Lo: 0, Hi: 1}
	return map[string]Drawing{
		"dots":      dots,
		"twelve":    twelve,
		"change":    change,
		"arches":    Arches{Title: "a", Desc: "a", Across: 3, Arches: []Arch{archOf("Vertical", false), archOf("Rotation", false), archOf("Tip", false)}},
		"archkinds": Arches{Title: "a", Desc: "a", Across: 3, Thin: "under 10 cases", Arches: []Arch{kindsOf("Vertical", true), archOf("Rotation", false)}},
		"archnamed": Arches{Title: "a", Desc: "a", Across: 2, Flat: true, Side: true, Named: true, Arches: []Arch{kindsOf("Rotation, mesial-out", false), kindsOf("Intrusion", false)}},
		"archflat":  Arches{Title: "a", Desc: "a", Across: 2, Flat: true, Arches: []Arch{archOf("Vertical", false), archOf("Rotation", true)}},
		"segments":  Segments{Title: "s", Desc: "s", Parts: []Segment{{"0", "none", 30, "30 none", false}, {"1", "one", 51, "51 one", false}, {"2", "two", 37, "37 two", false}, {"3", "three", 4, "4 three", false}, {"4", "four", 2, "2 four or more", false}}},
		"switches":  newerSwitches(),
		"slopes":    Slopes{Title: "s", Desc: "s", From: "first course", To: "next course", Across: 2, Panels: []SlopePanel{panel, panel, panel}},
		"cumulative": Cumulative{Title: "c", Desc: "c", YLabel: "refinements a case", Until: 30, Horizon: 24, Ticks: []float64{0, 6, 12, 18, 24, 30}, Lines: []CumLine{
			{Name: "clinician-designed", Mark: FilledCircle, X: []float64{0, 6, 9, 14, 20, 27}, Y: []float64{0, 0.1, 0.3, 0.6, 0.9, 1.1}, Low: []float64{0, 0.05, 0.2, 0.4, 0.7, 0.8}, High: []float64{0, 0.2, 0.4, 0.8, 1.2, 1.4}, AtRisk: []string{"60", "58", "50", "41", "20", "3"}},
			{Name: "software-suggested", Mark: OpenSquare, X: []float64{0, 5, 11, 16}, Y: []float64{0, 0.2, 0.5, 1}, AtRisk: []string{"60", "58", "50", "41", "20", "3"}},
		}},
		"boxes": Boxes{Title: "b", Desc: "b", Steps: []FlowStep{{"flow rows", "", "6 020 rows", "in the files", []string{"29 rejected"}}, {"flow 1", "left 1", "5 950 movements", "on record, in 170 cases", []string{"96 below the smallest meaningful plan", "71 not measured"}}, {"", "", "5 768 movements", "analysed, in 160 cases", nil}}},
	}
}
