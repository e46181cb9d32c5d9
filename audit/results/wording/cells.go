package wording

import (
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// fewestForQuartiles is the number of movements from which quartiles are more than the
// values themselves: one in each quarter.
const fewestForQuartiles = 4

// Middle is the median of a cell with its quartiles, in percent, "57 (38 to 69)"; of a
// handful of movements the median alone.
func Middle(c *results.Cell) string {
	if c.Movements < fewestForQuartiles || !c.LowerQuartile.OK() {
		return Whole(c.MedianRatio)
	}
	return Whole(c.MedianRatio) + " (" + Limits(c.LowerQuartile, c.UpperQuartile) + ")"
}

// CI names the interval: "95 % CI".
func CI(level float64) string { return Level(level) + nbsp + "CI" }

// Names words the cells of one audit: teeth in its notation, and directions as far as
// sheets gave them.
type Names struct {
	Notation casebook.Notation
	Unstated []results.Unstated
}

// NamesOf an audit.
func NamesOf(r *results.Results) Names {
	return Names{r.Provenance.Settings.Notation, r.Scope.Unstated}
}

// IsUnstated reports a direction in which sizes without direction count; alone is true
// where nothing is on record of the opposite one.
func (n Names) IsUnstated(d casebook.Direction) (unstated, alone bool) {
	for _, u := range n.Unstated {
		if u.Direction == d {
			return true, u.Alone
		}
	}
	return false, false
}

// Direction names one, or the axis where sheets gave sizes alone.
func (n Names) Direction(d casebook.Direction) string {
	switch unstated, alone := n.IsUnstated(d); {
	case alone:
		return d.Axis().String()
	case unstated:
		return d.String() + " or unstated"
	}
	return d.String()
}

// Movement names the direction or, where none is given, the axis.
func (n Names) Movement(by results.By) string {
	switch {
	case by.Direction != casebook.NoDirection:
		return n.Direction(by.Direction)
	case by.Axis != casebook.NoAxis:
		return by.Axis.String()
	}
	return "all movements"
}

// Cell puts a cell in words: "upper premolars, rotation mesial-in, first sets".
func (n Names) Cell(b results.By) string {
	parts := []string{Place(b, n.Notation)}
	if b.Direction != casebook.NoDirection || b.Axis != casebook.NoAxis {
		parts = append(parts, n.Movement(b))
	}
	if b.Style != casebook.NoStyle {
		parts = append(parts, b.Style.String())
	}
	switch b.Course {
	case results.Initial:
		parts = append(parts, "first sets")
	case results.Refinement:
		parts = append(parts, "refinements")
	}
	return strings.Join(parts, ", ")
}
