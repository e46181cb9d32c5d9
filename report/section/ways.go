package section

import (
	"shortfall/audit/results"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// ids of all that a link can lead to.
func ids(d *document.Document) map[string]bool {
	out := map[string]bool{}
	for id := range d.Labels() {
		out[id] = true
	}
	return out
}

// first is the first of some ids that is in the report, "" where none is: numbers of
// page one lead to their row, else to the figure that has it, and in a report of one
// page nowhere.
func (m *maker) first(ids ...string) string {
	for _, id := range ids {
		if m.there[id] {
			return id
		}
	}
	return ""
}

// ofComparison is where the numbers of all comparisons stand.
func (m *maker) ofComparison() string {
	return m.first("readings", room.Anchor("expression.directions"), "directions")
}

// ofDirection is where the numbers of one direction stand.
func (m *maker) ofDirection(r *results.FrontRow) string {
	if !r.Difference.OK() { // the number is that of all styles
		return m.first(room.RowID(r.By), "directions")
	}
	return m.first(readingID(r.By.Direction))
}

// ofTooth is where the number in a tooth stands.
func (m *maker) ofTooth(a *results.FrontArch, t *results.FrontTooth) string {
	return m.first(room.RowID(a.Of(t)), "arches")
}

// ofArch is where the number of all teeth of an arch stands.
func (m *maker) ofArch(a *results.FrontArch) string {
	return m.first(room.RowID(results.By{Axis: a.Axis, Direction: a.Direction, Course: results.Initial}), "directions")
}
