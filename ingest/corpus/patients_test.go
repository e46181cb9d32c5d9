package corpus

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
)

// page is a sheet of one patient as a practice keeps it: the rows, nil for blank ones, and
// the joined areas. A row has its cells from column A.
type page struct {
	name   string
	rows   [][]any
	joined []string
}

// workbook writes pages to a file; a time is a date as a spreadsheet stores it.
func workbook(t *testing.T, pages ...page) string {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	day, err := f.NewStyle(&excelize.Style{NumFmt: 14})
	require.NoError(t, err)
	for i, p := range pages {
		if i == 0 {
			require.NoError(t, f.SetSheetName("Sheet1", p.name))
		} else {
			_, err := f.NewSheet(p.name)
			require.NoError(t, err)
		}
		for row, cells := range p.rows {
			for col, v := range cells {
				if v == nil || v == "" {
					continue
				}
				ref, err := excelize.CoordinatesToCellName(col+1, row+1)
				require.NoError(t, err)
				require.NoError(t, f.SetCellValue(p.name, ref, v))
				if _, date := v.(time.Time); date {
					require.NoError(t, f.SetCellStyle(p.name, ref, ref, day))
				}
			}
		}
		for _, area := range p.joined {
			from, to, _ := strings.Cut(area, ":")
			require.NoError(t, f.MergeCell(p.name, from, to))
		}
	}
	path := filepath.Join(t.TempDir(), "patients.xlsx")
	out, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, f.Write(out))
	require.NoError(t, out.Close())
	return path
}

// readsTo reads a workbook with answers and gives its movements, one a line: case, course,
// tooth, movement, planned, achieved, style.
func readsTo(t *testing.T, path string, answers question.Answers) (*casebook.Batch, []string) {
	t.Helper()
	given := question.Answers{"positive": "usual", "case status": "ended"}
	maps.Copy(given, answers)
	b, err := ingest.Read(t.Context(), path, ingest.Options{Answers: given})
	if !assert.NoError(t, err) {
		return &casebook.Batch{}, nil
	}
	assert.Empty(t, b.Rejected)
	var out []string
	for _, r := range b.Movements {
		m := r.Value
		achieved := "?"
		if m.Achieved.OK {
			achieved = fmt.Sprint(m.Achieved.Value)
		}
		out = append(out, fmt.Sprintf("%s c%d %d %s %v %s %s", m.Case.ID, m.Course, m.Tooth, m.Axis, m.Planned, achieved, m.Style))
	}
	return b, out
}

// asks gives the ids of what a workbook leaves open, and fails where anything else
// refuses it.
func asks(t *testing.T, path string, answers question.Answers) []string {
	t.Helper()
	given := question.Answers{"positive": "usual", "case status": "ended"}
	maps.Copy(given, answers)
	_, err := ingest.Read(t.Context(), path, ingest.Options{Answers: given})
	require.Error(t, err, path)
	open := ingest.Questions(err)
	var out []string
	for _, g := range question.Groups(open) {
		if g[0].Group != nil {
			out = append(out, g[0].Group.ID)
		} else {
			out = append(out, g[0].ID)
		}
	}
	slices.Sort(out)
	errs := slices.DeleteFunc(ingest.Problems(err), func(p casebook.Problem) bool { return p.Severity != casebook.Error })
	assert.Len(t, errs, len(question.Groups(open)), "%v", err)
	return out
}

func day(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC) }

// headed is a page with a block of labels, perhaps a title, and one table.
func headed(name, title string, head [][]any, rows ...[]any) page {
	p := page{name: name, rows: slices.Concat(head, [][]any{nil, {title}, {"Tooth", "Attachment", "Rotation planned", "Rotation achieved", "Torque planned", "Torque achieved"}}, rows)}
	return p
}

var (
	blockOf = func(code string) [][]any {
		return [][]any{{"Patient code", code}, {"Age", 31}, {"Start", day(2023, 2, 6)}, {"End", day(2024, 1, 15)}}
	}
	twoTeeth = [][]any{{43, "own design", 8.5, 6, -4, -3}, {44, "none", -12, -5}}
)

func twoTeethOf(code string, course int) []string {
	return []string{
		fmt.Sprintf("%s c%d 43 rotation 8.5 6 clinician-designed", code, course),
		fmt.Sprintf("%s c%d 43 buccolingual torque -4 -3 clinician-designed", code, course),
		fmt.Sprintf("%s c%d 44 rotation -12 -5 none", code, course),
	}
}

// A label of a date in the head of a sheet is no title: what says the course is the name of
// the sheet or the title of the table.
func TestLabelsOfDatesAreNoCourse(t *testing.T) {
	for _, label := range []string{"Start", "Beginn", "Behandlungsbeginn", "Anfang", "Start:", "Début", "Inicio", "Begin", "Therapiebeginn"} {
		head := func() [][]any {
			return [][]any{{"Patient code", "KD-07"}, {label, day(2023, 2, 6)}, {"End", day(2024, 1, 15)}}
		}
		_, got := readsTo(t, workbook(t, headed("KD-07 Refinement 1", "", head(), twoTeeth...)), nil)
		assert.Equal(t, twoTeethOf("KD-07", 2), got, "name of the sheet, %s", label)
		b, got := readsTo(t, workbook(t, headed("KD-07", "2. Korrektur", head(), twoTeeth...)), nil)
		assert.Equal(t, twoTeethOf("KD-07", 3), got, "title, %s", label)
		assert.Equal(t, "2023-02", b.Cases[0].Value.Start.String(), label)
		blank := headed("KD-07", "", [][]any{{"Patient code", "KD-07"}, {label}}, twoTeeth...)
		assert.Equal(t, []string{"course"}, asks(t, workbook(t, blank), nil), label)
	}
	// Words for the first of several courses are a title, whatever is labelled beside.
	_, got := readsTo(t, workbook(t, headed("KD-07", "Initial course", blockOf("KD-07"), twoTeeth...)), nil)
	assert.Equal(t, twoTeethOf("KD-07", 1), got)
}

// Where the name of a sheet and the title of its table say two courses, neither wins.
func TestNameAndTitleDisagree(t *testing.T) {
	path := workbook(t, headed("KD-07 initial", "Refinement 2", blockOf("KD-07"), twoTeeth...))
	assert.Equal(t, []string{"course of KD-07 initial"}, asks(t, path, nil))
	for word, n := range map[string]int{"initial": 1, "refinement 2": 3} {
		_, got := readsTo(t, path, question.Answers{"course of KD-07 initial": word})
		assert.Equal(t, twoTeethOf("KD-07", n), got)
	}
	// A refinement with its number in one place and without in the other is one.
	_, got := readsTo(t, workbook(t, headed("KD-07 refinement", "Refinement 2", blockOf("KD-07"), twoTeeth...)), nil)
	assert.Equal(t, twoTeethOf("KD-07", 3), got)
}

// Dates and ages of the head block are read as people write them, and a bad one is named
// by its own cell.
func TestHeadBlock(t *testing.T) {
	for _, head := range [][][]any{
		{{"Patient code", "KD-07"}, {"Age", "15;4"}, {"Start", day(2023, 2, 6)}, {"End", day(2024, 1, 15)}},
		{{"Patient code:", "KD-07", "", "Start:", "", day(2023, 2, 6)}, {"Age:", "15 J. 4 M.", "", "End:", "", day(2024, 1, 15)}},
		{{"Patient code:", "", "KD-07"}, {"Alter", "15 Jahre"}, {"Therapiebeginn", "06.02.2023"}, {"Therapieende:", "", "", "2024-01"}},
		{{"Patient code: KD-07"}, {"Age: 15"}, {"Start: 2023-02"}, {"End: 15.1.2024"}},
	} {
		b, got := readsTo(t, workbook(t, headed("KD-07 initial", "", head, twoTeeth...)), question.Answers{"dates": "day first"})
		assert.Equal(t, twoTeethOf("KD-07", 1), got)
		if assert.Len(t, b.Cases, 1) {
			c := b.Cases[0].Value
			assert.Equal(t, []string{"2023-02", "2024-01", casebook.AgeBandOf(15).String()}, []string{c.Start.String(), c.End.String(), c.AgeBand.String()}, "%v", head)
		}
	}
	bad := [][]any{{"Patient code", "KD-07"}, {"Age", "grown up and more"}, {"Start", "spring"}, {"End", day(2024, 1, 15)}}
	b, _ := readsTo(t, workbook(t, headed("KD-07 initial", "", bad, twoTeeth...)), nil)
	var where []string
	for _, p := range b.Problems {
		if p.Severity == casebook.Warning && strings.Contains(p.Message, "left out") {
			where = append(where, p.Rule+" "+p.Cell)
		}
	}
	slices.Sort(where)
	assert.Equal(t, []string{"count-unreadable B2", "date-unreadable B3"}, where, "once each, not once a row")
}

// A date of the head that can be read in two orders is asked about.
func TestDateOfTheHeadInTwoOrders(t *testing.T) {
	path := workbook(t, headed("KD-07 initial", "", [][]any{{"Patient code", "KD-07"}, {"Start", "03/04/2023"}}, twoTeeth...))
	assert.Equal(t, []string{"dates"}, asks(t, path, nil))
	b, _ := readsTo(t, path, question.Answers{"dates": "day first"})
	assert.Equal(t, "2023-04", b.Cases[0].Value.Start.String())
}

// titled is a table with a header of two rows, as the parts of a sheet of one patient.
func titled(title string, rows ...[]any) [][]any {
	return slices.Concat([][]any{nil, {title}, {"Tooth (FDI)", "Attachment", "Rotation (°)", nil, "In-/Extrusion (mm)", nil, "Remark"}, {nil, nil, "planned", "achieved", "planned", "achieved"}}, rows)
}

// under gives the areas that the header of two rows joins whose upper one is row n.
func under(n int) []string {
	return []string{fmt.Sprintf("A%d:A%d", n, n+1), fmt.Sprintf("B%d:B%d", n, n+1), fmt.Sprintf("C%d:D%d", n, n), fmt.Sprintf("E%d:F%d", n, n), fmt.Sprintf("G%d:G%d", n, n+1)}
}

// ofPatient is a page of a head block and tables, each with its title.
func ofPatient(code string, titles ...string) page {
	p := page{name: code, rows: blockOf(code)}
	for i, title := range titles {
		p.joined = append(p.joined, under(len(p.rows)+3)...)
		p.rows = append(p.rows, titled(title, []any{43, "own design", 8.5 + float64(i), 6, nil, nil}, []any{44, "none", -12, -5, 1.5, 1})...)
	}
	return p
}

func patientOf(code string, courses ...int) (out []string) {
	for i, c := range courses {
		out = append(out,
			fmt.Sprintf("%s c%d 43 rotation %v 6 clinician-designed", code, c, 8.5+float64(i)),
			fmt.Sprintf("%s c%d 44 rotation -12 -5 none", code, c), fmt.Sprintf("%s c%d 44 vertical 1.5 1 none", code, c))
	}
	return out
}

// Tables below each other on the sheet of a patient are courses of their own, each that
// of its title, with what the head of the sheet says of the patient.
func TestTablesOfOnePatient(t *testing.T) {
	for _, titles := range [][]string{
		{"Initial course", "Refinement 1", "Refinement 2"},
		{"Erstbehandlung", "1. Korrektur", "2. Korrektur (ab März)"},
		{"Série initiale", "Finition 1", "Finition 2"},
		{"Pierwsza seria", "Korekta 1", "Korekta 2"},
	} {
		b, got := readsTo(t, workbook(t, ofPatient("KD-07", titles...), ofPatient("KD-08", titles[0])), nil)
		assert.Equal(t, slices.Concat(patientOf("KD-07", 1, 2, 3), patientOf("KD-08", 1)), got, "%v", titles)
		for _, c := range b.Cases {
			assert.Equal(t, "2023-02 2024-01 30-44", fmt.Sprint(c.Value.Start, " ", c.Value.End, " ", c.Value.AgeBand))
		}
	}
	// Where it says which, the sheet may have the later course alone, or say that there was none.
	p := ofPatient("KD-07", "Initial course")
	p.rows = append(p.rows, nil, []any{"Refinement 1: none"})
	_, got := readsTo(t, workbook(t, p, ofPatient("KD-08", "Refinement 1")), nil)
	assert.Equal(t, slices.Concat(patientOf("KD-07", 1), patientOf("KD-08", 2)), got)
}

// A table below another whose title says no course, or that has none, is asked about; the
// answer may be that it is a refinement.
func TestTablesOfOnePatientWithoutCourse(t *testing.T) {
	for _, titles := range [][2]string{{"Initial course", "Finishing touches"}, {"Initial course", ""}, {"", ""}, {"", "Refinement 1"}} {
		pages := []page{ofPatient("KD-07", titles[0], titles[1]), ofPatient("KD-08", titles[0], titles[1])}
		path := workbook(t, pages...)
		_, err := ingest.Read(t.Context(), path, ingest.Options{Answers: question.Answers{"positive": "usual", "case status": "ended"}})
		require.Error(t, err, "%v", titles)
		answers := question.Answers{}
		for _, q := range ingest.Questions(err) {
			assert.True(t, strings.HasPrefix(q.ID, "course "), q.ID)
			answers[q.ID] = "refinement 1"
			if strings.HasSuffix(q.ID, "table 1 of the sheet") {
				answers[q.ID] = "initial"
			}
		}
		_, got := readsTo(t, path, answers)
		assert.Equal(t, slices.Concat(patientOf("KD-07", 1, 2), patientOf("KD-08", 1, 2)), got, "%v", titles)
	}
}

// A mapping that describes a sheet of two tables as one is refused: the rows of the second
// would be read as those of the first.
func TestMappedSheetOfTwoTables(t *testing.T) {
	path := workbook(t, ofPatient("KD-07", "Initial course", "Refinement 1"))
	m, err := mapping.Parse("map.toml", []byte("version = 1\n[[sheet]]\nname = \"KD-07\"\nkind = \"movement\"\nheader = 7\nheader_rows = 2\nconstants = {course = \"initial\"}\n"))
	require.NoError(t, err)
	_, err = ingest.Read(t.Context(), path, ingest.Options{Mapping: m, Answers: question.Answers{"positive": "usual", "case status": "ended"}})
	require.Error(t, err)
	var found []string
	for _, p := range ingest.Problems(err) {
		if p.Severity == casebook.Error {
			found = append(found, p.Rule+" "+p.Cell)
		}
	}
	assert.Equal(t, []string{"tables-several A13"}, found)
}

// A movement that a header names in words that are not known is asked about, on a header of
// one row and of two, and the rest of the sheet is read.
func TestUnknownMovementOfAPair(t *testing.T) {
	p := ofPatient("KD-07", "Initial course", "Refinement 1")
	for _, row := range p.rows {
		for i, v := range row {
			if v == "Rotation (°)" {
				row[i] = "Wigwagging (°)"
			}
		}
	}
	flat := page{name: "list", rows: [][]any{
		{"Case", "Course", "Tooth", "Attachment", "Wigwagging planned (°)", "Wigwagging achieved (°)", "In-/Extrusion planned", "In-/Extrusion achieved"},
		{"KD-07", 1, 43, "own design", 8.5, 6},
		{"KD-07", 1, 44, "none", -12, -5, 1.5, 1},
		{"KD-07", 2, 43, "own design", 9.5, 6},
		{"KD-07", 2, 44, "none", -12, -5, 1.5, 1},
	}}
	for id, of := range map[string]page{"movement of Wigwagging (°) planned": p, "movement of Wigwagging planned (°)": flat} {
		path := workbook(t, of)
		assert.Equal(t, []string{id}, asks(t, path, nil))
		_, got := readsTo(t, path, question.Answers{id: "rotation"})
		assert.Equal(t, patientOf("KD-07", 1, 2), got)
		_, got = readsTo(t, path, question.Answers{id: "ignore", "signs": "signed"})
		assert.Equal(t, []string{"KD-07 c1 44 vertical 1.5 1 none", "KD-07 c2 44 vertical 1.5 1 none"}, got)
	}
	// What is planned and achieved of something else is no movement.
	flat.rows[0][4], flat.rows[0][5] = "Aligners planned", "Aligners used"
	_, got := readsTo(t, workbook(t, flat), question.Answers{"signs": "signed"})
	assert.Len(t, got, 2)
}

// A case whose courses stand on two sheets, each with its end above the table, is one.
func TestEndedCaseOnTwoSheetsIsOne(t *testing.T) {
	of := func(id, course string) page {
		return page{name: id + " " + course, rows: [][]any{
			{"Case:", id},
			{"End:", day(2024, 1, 15)},
			{"Course:", course},
			nil,
			{"Tooth", "Movement", "Planned", "Achieved", "Attachment"},
			{43, "rotation", 8.5, 6, "none"},
			{44, "rotation", -9.5, -6, "none"},
		}}
	}
	_, err := ingest.Read(t.Context(), workbook(t, of("KD-07", "1"), of("KD-07", "2"), of("KD-08", "1")), ingest.Options{Answers: question.Answers{"positive": "usual"}})
	require.Error(t, err)
	open := ingest.Questions(err)
	require.Len(t, open, 1, err)
	assert.Equal(t, 2, open[0].Choices[0].Count)
	assert.Contains(t, open[0].Text, "2 cases that have an end")
}

// A file that gives the end of each case and no status is asked whether they are completed;
// from an end alone nothing is taken.
func TestEndsWithoutStatus(t *testing.T) {
	flat := page{name: "list", rows: [][]any{
		{"Case", "Start", "End", "Course", "Tooth", "Movement", "Planned", "Achieved", "Attachment"},
		{"KD-07", day(2023, 2, 6), day(2024, 1, 15), 1, 43, "rotation", 8.5, 6, "none"},
		{"KD-07", nil, nil, 2, 43, "rotation", -9.5, -6, "none"},
		{"KD-08", day(2023, 5, 6), nil, 1, 44, "rotation", 8.5, 6, "none"},
		{"KD-09", day(2023, 5, 6), "goes on", 1, 44, "rotation", 8.5, 6, "none"},
	}}
	for _, of := range []struct {
		path      string
		completed []string
	}{{workbook(t, flat), []string{"KD-07"}}, {workbook(t, ofPatient("KD-07", "Initial course", "Refinement 1"), ofPatient("KD-08", "Initial course")), []string{"KD-07", "KD-08"}}} {
		_, err := ingest.Read(t.Context(), of.path, ingest.Options{Answers: question.Answers{"positive": "usual"}})
		require.Error(t, err)
		open := ingest.Questions(err)
		require.Len(t, open, 1)
		assert.Equal(t, "case status", open[0].ID)
		assert.Equal(t, len(of.completed), open[0].Choices[0].Count)
		for word, want := range map[string][]string{"ended": of.completed, "not recorded": nil} {
			b, _ := readsTo(t, of.path, question.Answers{"case status": word})
			var completed []string
			for _, c := range b.Cases {
				if c.Value.Status == casebook.Completed {
					completed = append(completed, c.Value.ID)
				} else {
					assert.Equal(t, casebook.NoStatus, c.Value.Status)
				}
			}
			assert.Equal(t, want, completed, word)
		}
	}
}
