package story

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// directionWords name a direction inside a sentence (noun) and at the start of a row.
var directionWords = map[casebook.Direction]struct{ noun, row string }{
	casebook.Extrusion:     {"extrusion", "Extrusion"},
	casebook.Intrusion:     {"intrusion", "Intrusion"},
	casebook.MesialIn:      {"mesial-in rotation", "Rotation, mesial-in"},
	casebook.MesialOut:     {"mesial-out rotation", "Rotation, mesial-out"},
	casebook.TipMesial:     {"mesial tip", "Tip, mesial"},
	casebook.TipDistal:     {"distal tip", "Tip, distal"},
	casebook.TorqueBuccal:  {"buccal torque", "Torque, buccal"},
	casebook.TorqueLingual: {"lingual torque", "Torque, lingual"},
	casebook.ShiftMesial:   {"mesial shift", "Shift, mesial"},
	casebook.ShiftDistal:   {"distal shift", "Shift, distal"},
	casebook.ShiftBuccal:   {"buccal shift", "Shift, buccal"},
	casebook.ShiftLingual:  {"lingual shift", "Shift, lingual"},
}

// noun of a direction; where sheets gave sizes without direction, which count as
// positive, it is that of the axis, or says that some are unstated.
func (t *teller) noun(d casebook.Direction) string {
	word := directionWords[d].noun
	switch unstated, alone := t.names.IsUnstated(d); {
	case !unstated:
		return word
	case alone:
		return axisNoun(d.Axis())
	}
	if way, axis, ok := strings.Cut(word, " "); ok {
		return way + " or unstated " + axis
	}
	return word + " or unstated " + axisNoun(d.Axis())
}

func (t *teller) rowName(d casebook.Direction) string {
	word := directionWords[d].row
	switch unstated, alone := t.names.IsUnstated(d); {
	case !unstated:
		return word
	case alone:
		return axisRow(d.Axis())
	}
	return word + " or unstated"
}

// unstated reports a direction in which sizes without direction count.
func (t *teller) unstated(d casebook.Direction) bool {
	unstated, _ := t.names.IsUnstated(d)
	return unstated
}

var axisWords = map[casebook.Axis]struct{ noun, row string }{
	casebook.Vertical:          {"vertical movement", "Vertical"},
	casebook.Rotation:          {"rotation", "Rotation"},
	casebook.Tip:               {"tip", "Tip"},
	casebook.Torque:            {"torque", "Torque"},
	casebook.MesiodistalShift:  {"mesiodistal shift", "Mesiodistal shift"},
	casebook.BuccolingualShift: {"buccolingual shift", "Buccolingual shift"},
}

func axisNoun(a casebook.Axis) string { return axisWords[a].noun }

func axisRow(a casebook.Axis) string { return axisWords[a].row }

// mostNamed directions are spelled out in a headline; the figure has them all.
const mostNamed = 4

// moreAndLess is "more extrusion and less rotation": both directions of an axis
// read as the axis.
func (t *teller) moreAndLess(cs []*results.Comparison) string {
	var more, less []casebook.Direction
	for _, c := range cs {
		if c.Verdict == results.Higher {
			more = append(more, c.By.Direction)
		} else {
			less = append(less, c.By.Direction)
		}
	}
	var parts []string
	of := " "
	if slices.ContainsFunc(cs, (*results.Comparison).Overplanned) { // which may be no less movement
		of = " of the planned "
	}
	if len(more) > 0 {
		parts = append(parts, "more"+of+t.nounList(more))
	}
	if len(less) > 0 {
		parts = append(parts, "less"+of+t.nounList(less))
	}
	return strings.Join(parts, " and ")
}

func (t *teller) nounList(ds []casebook.Direction) string {
	out := t.nounsOf(ds)
	if len(out) > mostNamed {
		if len(ds) == len(casebook.Directions()) {
			return "movement in every direction"
		}
		return "movement in " + directionsCount(len(ds))
	}
	return joined(out)
}

// nounsOf names directions; both of an axis are the axis.
func (t *teller) nounsOf(ds []casebook.Direction) (out []string) {
	for i := 0; i < len(ds); i++ {
		if i+1 < len(ds) && ds[i].Axis() == ds[i+1].Axis() {
			out = append(out, axisNoun(ds[i].Axis()))
			i++
			continue
		}
		out = append(out, t.noun(ds[i]))
	}
	return out
}

// joined is "a, b and c".
func joined(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

func directionsCount(n int) string { return wording.Of(n, "direction") }
