package report

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/paper"
	"shortfall/report/section"
)

// TestThreeStepsOnPaper: from a direction drawn on page one to its row, from the row
// to the formula and to the method, and there to the source.
func TestThreeStepsOnPaper(t *testing.T) {
	d, err := compose(compared(t), Options{Pages: section.Full})
	require.NoError(t, err)
	from := func(page int, y0, y1 float64) (to []string) {
		for _, w := range d.Ways() {
			if middle := w.Box.Y + w.Box.H/2; w.Page == page && y0 <= middle && middle < y1 {
				to = append(to, w.To)
			}
		}
		return to
	}
	walked := 0
	for _, to := range from(1, 0, paper.A4.H) {
		if !strings.HasPrefix(to, "reading-") {
			continue
		}
		page, y, ok := d.Landed(to)
		require.True(t, ok, to)
		next := from(page, y, y+paper.Baseline)
		require.Len(t, next, 2, "%s leads to its formula and its method", to)
		for _, id := range next {
			page, y, ok := d.Landed(id)
			require.True(t, ok, id)
			said := ""
			for _, b := range d.Boxes() {
				if b.Page == page && y <= b.Box.Y+b.Box.H/2 && b.Box.Y < y+6*paper.Baseline {
					said += b.Text + " "
				}
			}
			assert.Regexp(t, cited, said, "%s names its source", id)
		}
		walked++
	}
	assert.Greater(t, walked, 3)
}

// cited is a year, or a source that says that it is ours.
var cited = regexp.MustCompile(`(19|20)\d\d|convention of this audit|common practice`)
