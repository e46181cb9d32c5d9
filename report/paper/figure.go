package paper

import (
	"shortfall/report/chart"
)

// Figure is a chart with its caption: a title that states the finding above
// it, and a line of sources and references below.
type Figure struct {
	ID    string
	Title string
	More  []Run // closes the title, for a reference
	Chart *chart.Figure
	Below []Run
	Notes []int
}
