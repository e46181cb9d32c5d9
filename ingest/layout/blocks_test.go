package layout_test

import (
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/blocks"
	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
)

// page writes a sheet: rows on lines, cells parted by bars, blank ones left out.
func page(text string) *sheet.Sheet {
	s := &sheet.Sheet{Name: "page"}
	for i, line := range strings.Split(text, "\n") {
		r := s.NewRow(i + 1)
		for j, c := range strings.Split(line, "|") {
			c = strings.TrimSpace(c)
			kind := sheet.String
			if strings.Trim(c, "0123456789.-") == "" {
				kind = sheet.Number
			}
			if c != "" {
				r.Add(sheet.Cell{Text: c, Col: int32(j + 1), Kind: kind})
			}
		}
		if r.Len() > 0 {
			s.Rows = append(s.Rows, r)
		}
	}
	return s
}

// plain writes the tables that a sheet was taken apart into.
func plain(a *blocks.Arranged) string {
	var out []string
	for _, s := range a.Sheets {
		for _, r := range s.Rows {
			cells := make([]string, s.Columns())
			for _, c := range r.All() {
				cells[c.Col-1] = c.Text
			}
			out = append(out, strings.Join(cells, "|"))
		}
	}
	return strings.Join(out, "\n")
}

func arranged(text string) *blocks.Arranged {
	return blocks.Arrange([]*sheet.Sheet{page(text)}, layout.Named)
}

const chartPage = `Case: A1 | | Course: first course
Tooth (FDI) | | 13 | 12 | 11 | 21
Extrusion (mm) | Planned | 0.8 | | 1.2 |
Extrusion (mm) | Achieved | 0.5 | | |
Attachment | | none | software | | none

Case: A2 | | Course: refinement 1
Tooth (FDI) | | 13 | 12 | 11 | 21
Rotation, mesial in | Planned | | 12 | |
Rotation, mesial in | Achieved | | -3 | |`

func TestTeethAcross(t *testing.T) {
	a := arranged(chartPage)
	assert.Equal(t, "case|course|Tooth (FDI)|Type of movement|Planned|Achieved|Attachment\n"+
		"A1|first course|13|Extrusion (mm)|0.8|0.5|none\n"+
		"A1|first course|11|Extrusion (mm)|1.2||\n"+
		"A2|refinement 1|12|Rotation, mesial in|12|-3|", plain(a))
	name, ref, row := a.Locate("page", "E2", 0)
	assert.Equal(t, []any{"page", "C3", 3}, []any{name, ref, row}, "the planned amount of the first record")
	_, ref, row = a.Locate("page", "F3", 0)
	assert.Equal(t, []any{"", 3}, []any{ref, row}, "a blank cell is found by its row")
}

// A chart with one row that is not understood is left as it is, whole.
func TestOddChartsAreLeft(t *testing.T) {
	for _, odd := range []string{"Wobble | Planned | 1 | 2 | 3 | 4", "| | 1 | 2 | 3 | 4", "Extrusion (mm) | Planned | 9 | 9 | 9 | 9"} {
		a := arranged(strings.Replace(chartPage, "Attachment | ", odd+"\nAttachment | ", 1))
		assert.Empty(t, a.Parts, odd)
	}
	assert.Empty(t, arranged(strings.Replace(chartPage, "13 | 12 | 11", "13 | 12 | 39", 1)).Parts, "39 is a tooth in no notation")
}

func TestTitlesAmongRecords(t *testing.T) {
	want := "Tooth|Movement|Planned|Achieved|case|course\n13|extrusion|1|0.5|A-1|first course\n14|extrusion|2|1|A-1|refinement 1\n15|extrusion|3|1|A-2|first course"
	within := "Tooth | Movement | Planned | Achieved\nCase A-1 – first course\n13 | extrusion | 1 | 0.5\nCase A-1 – refinement 1\n14 | extrusion | 2 | 1\nCase A-2 – first course\n15 | extrusion | 3 | 1"
	assert.Equal(t, want, plain(arranged(within)))
	head := "Tooth | Movement | Planned | Achieved\n"
	each := strings.ReplaceAll(strings.ReplaceAll(strings.TrimPrefix(within, head), "course\n", "course\n"+head), "refinement 1\n", "refinement 1\n"+head)
	assert.Equal(t, want, plain(arranged(each)), "a header under each title")
}

func TestFormsBelowEachOther(t *testing.T) {
	form := "Case | A1 | | Clinician | K\nCourse | initial | | Status | completed\nTooth | Movement | Planned | Achieved\n13 | extrusion | 1 | 0.5\n\n"
	got := plain(arranged(form + strings.Replace(strings.Replace(form, "A1", "A2", 1), "13", "21", 1)))
	assert.Equal(t, "Tooth|Movement|Planned|Achieved|case|clinician|course|status\n13|extrusion|1|0.5|A1|K|initial|completed\n21|extrusion|1|0.5|A2|K|initial|completed", got)
	// What a form does not state is not carried over from the one before.
	without := strings.Replace(strings.Replace(form, "Case | A1 | | ", "", 1), "13", "21", 1)
	assert.NotContains(t, plain(arranged(form+form+without)), "21|extrusion|1|0.5|A1")
}

func TestTablesBesideEachOther(t *testing.T) {
	text := "Case A1 | | | | | Case A2\nTooth | Movement | Planned | Achieved | | Tooth | Movement | Planned | Achieved\n13 | extrusion | 1 | 0.5 | | 14 | intrusion | 2 | 1\n | | | | | 15 | intrusion | 2 | 2"
	assert.Equal(t, "Tooth|Movement|Planned|Achieved|case\n13|extrusion|1|0.5|A1\n14|intrusion|2|1|A2\n15|intrusion|2|2|A2", plain(arranged(text)))
	assert.Empty(t, arranged(strings.Replace(text, "Case A1 | | | | | Case A2", "| | | | |", 1)).Parts, "whose teeth they are is not said")
}

func TestColumnsRepeated(t *testing.T) {
	text := "| | no attachment | | own design |\nTooth | Movement | Planned | Achieved | Planned | Achieved\n13 | extrusion | 1 | 0.5 | |\n14 | intrusion | | | 2 | 1"
	assert.Equal(t, "Tooth|Movement|Planned|Achieved|attachment style\n13|extrusion|1|0.5|no attachment\n14|intrusion|2|1|own design", plain(arranged(text)))
	assert.Empty(t, arranged(strings.Replace(text, "own design", "no attachment", 1)).Parts, "two groups of one name")
	assert.Empty(t, arranged(strings.Replace(text, "own design", "wobble", 1)).Parts)
}

func TestFieldsDown(t *testing.T) {
	text := "Case | A1 | A1 | A2\nCourse | 1 | 1 | 1\nTooth | 13 | 14 | 15\nMovement | extrusion | intrusion | rotation\nPlanned | 1 | 2 | 3\nAchieved | 1 | 1 |"
	assert.Equal(t, "Case|Course|Tooth|Movement|Planned|Achieved\nA1|1|13|extrusion|1|1\nA1|1|14|intrusion|2|1\nA2|1|15|rotation|3|", plain(arranged(text)))
}

func TestJoinedCells(t *testing.T) {
	text := "Case | Tooth | Movement | Planned / Achieved\nA1 | 13 | extrusion | 1.2 / 0.8\nA1 | 14 | extrusion | 2 / 1"
	assert.Equal(t, "Case|Tooth|Movement|Planned|Achieved\nA1|13|extrusion|1.2|0.8\nA1|14|extrusion|2|1", plain(arranged(text)))
	assert.Empty(t, arranged(strings.ReplaceAll(text, " / 0.8", "")).Parts, "half of the cells hold one number")
}

// Plain sheets, with or without titles, totals and legends, are left alone.
func TestPlainSheetsAreLeft(t *testing.T) {
	text := "Case | Course | Tooth | Movement | Planned | Achieved\nA1 | initial | 13 | extrusion | 1 | 0.5\nA1 | initial | 14 | intrusion | 2 | 1\nTotal | | 2\nLegend\nE = extrusion"
	for _, s := range []string{text, "Audit 2025\n\n" + text, "Case: A1\nCourse: initial\n" + text} {
		a := arranged(s)
		require.Empty(t, a.Parts)
		assert.Len(t, a.Sheets, 1)
	}
}

func TestPlannedAndAchievedOnRowsOfTheirOwn(t *testing.T) {
	text := "Case | Tooth | Movement | Value | Amount (mm)\nA1 | 13 | extrusion | planned | 1\nA1 | 13 | extrusion | achieved | 0.5\nA1 | 14 | intrusion | planned | 2\nA2 | 14 | intrusion | planned | 3\nA2 | 14 | intrusion | achieved | 2"
	assert.Equal(t, "Case|Tooth|Movement|planned (mm)|achieved (mm)\nA1|13|extrusion|1|0.5\nA1|14|intrusion|2|\nA2|14|intrusion|3|2", plain(arranged(text)))
	assert.Empty(t, arranged(text+"\nA2 | 14 | intrusion | achieved | 1").Parts, "two outcomes of one plan")
	assert.Empty(t, arranged(text+"\nA3 | 14 | intrusion | wobble | 1").Parts)
}

func TestPlansAndOutcomesOnTwoSheets(t *testing.T) {
	plans := page("Case | Tooth | Movement | Planned\nA1 | 13 | extrusion | 1\nA1 | 14 | intrusion | 2")
	results := page("Case | Tooth | Movement | Achieved\nA1 | 14 | intrusion | 1.5\nA1 | 13 | extrusion | 0.5")
	results.Name = "results"
	both := func() *blocks.Arranged { return blocks.Arrange([]*sheet.Sheet{plans, results}, layout.Named) }
	assert.Equal(t, "Case|Tooth|Movement|Planned|Achieved\nA1|13|extrusion|1|0.5\nA1|14|intrusion|2|1.5", plain(both()))
	name, ref, _ := both().Locate("page", "E3", 0)
	assert.Equal(t, "results D2", name+" "+ref)
	results.Rows[2].Put(sheet.Cell{Text: "15", Col: 2, Kind: sheet.Number})
	assert.Empty(t, both().Parts, "an outcome without its plan")
	results.Rows[2].Put(sheet.Cell{Text: "14", Col: 2, Kind: sheet.Number})
	assert.Empty(t, both().Parts, "two outcomes of one plan")
}

func TestMovementAndAmountInOneCell(t *testing.T) {
	text := "Case | Tooth | Asked for | Got\nA1 | 13 | extrude 1.2 mm | 0.7\nA1 | 14 | rotate mesially 12.5° | 6 °\nA2 | 11 | 1.4 mm intrusion | 1.0\nA2 | 12 | Torque: -3 | -1"
	assert.Equal(t, "Case|Tooth|axis|Asked for|Got\nA1|13|extrude|1.2 mm|0.7\nA1|14|rotate mesially|12.5°|6 °\nA2|11|intrusion|1.4 mm|1.0\nA2|12|Torque|-3|-1", plain(arranged(text)))
	_, ref, _ := arranged(text).Locate("page", "C3", 0)
	assert.Equal(t, "C3", ref, "both halves stand in the cell of the phrase")
	for name, other := range map[string]string{
		"a column of the movement":  strings.ReplaceAll(text, "Tooth", "Movement | Tooth"),
		"another word of the cell":  strings.ReplaceAll(text, "mesially", "wobbly"),
		"two movements in one cell": strings.ReplaceAll(text, "extrude 1.2 mm", "extrude 1.2 mm, tip 3"),
		"two such columns":          "Case | Tooth | One | Other\nA1 | 13 | extrude 1 | extruded 1\nA1 | 14 | extrude 2 | extruded 1\nA1 | 15 | intrude 1 | extruded 1",
	} {
		assert.Empty(t, arranged(other).Parts, name)
	}
}

// Where a number begins decides ten times its size, or its sign: what can be read in two
// ways is no phrase, and its row is refused.
func TestPhrase(t *testing.T) {
	for s, want := range map[string][2]string{
		"extrude 1.2 mm": {"extrude", "1.2 mm"}, "extrude .5 mm": {"extrude", ".5 mm"}, "extrude ,5 mm": {"extrude", ",5 mm"},
		"rotation -5°": {"rotation", "-5°"}, "rotation −5°": {"rotation", "−5°"}, "rotation: -.5°": {"rotation", "-.5°"}, "extr. 1.2 mm": {"extr", "1.2 mm"},
		"extrusion=+1.2": {"extrusion", "+1.2"}, "1.2 mm extrusion": {"extrusion", "1.2 mm"}, ".5 mm extrusion": {"extrusion", ".5 mm"},
	} {
		movement, amount, ok := blocks.Phrase(s)
		if assert.True(t, ok, s) {
			assert.Equal(t, want, [2]string{strings.TrimRight(movement, "."), amount}, s)
		}
	}
	for _, s := range []string{
		"extrusion - 1.2 mm", "extrusion-1.2 mm", "extr.5 mm", "extrude <1 mm", "extrude < 1 mm", "extrude ~1 mm", "rotation ±5°", "rotation (-5°)",
		"extrude", "1.2 mm", "extrude 1-2 mm", "extrude 1/2 mm", "extrude 2 teeth 1.2 mm", "extrude 1.2 mm (was 0.8 mm)", "",
	} {
		_, _, ok := blocks.Phrase(s)
		assert.False(t, ok, s)
	}
}

// A small file can say one long text in every cell, which no header does: it is not joined
// and tidied for each of them (30 MB of text, without a copy).
func TestLongTextsAreNoHeadings(t *testing.T) {
	line := strings.TrimSuffix(strings.Repeat(strings.Repeat("word ", 2000)+"|", 20), "|")
	s := page("case | tooth | axis | planned | achieved\nA1 | 13 | rotation | 5 | 4\n" + strings.TrimSuffix(strings.Repeat(line+"\n", 150), "\n"))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	assert.Len(t, blocks.Arrange([]*sheet.Sheet{s}, layout.Named).Sheets, 1)
	runtime.ReadMemStats(&after)
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(8<<20))
}
