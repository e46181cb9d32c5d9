package privacy

import (
	"encoding/json"
	"fmt"
	"iter"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/privacy/seeded"
	"shortfall/ingest/rules"
)

// clean is a small sheet of movements with its case columns, as a practice
// would send it: nothing in it identifies anybody.
func clean() Input {
	fields := []columns.Field{
		columns.Case, columns.Practice, columns.Clinician, columns.StartMonth, columns.Course, columns.Tooth,
		columns.Axis, columns.Planned, columns.Achieved, columns.Style, columns.NoField,
	}
	cols := map[int]Column{}
	for i, f := range fields {
		header := f.String()
		if f == columns.NoField {
			header = "tray type"
		}
		cols[i+1] = Column{header, f}
	}
	rows := [][]string{
		{"Aligner audit, 2nd quarter 2025"},
		{"case", "practice", "clinician", "start month", "course", "tooth", "axis", "planned", "achieved", "style", "tray type"},
		{"C-0123", "P1", "K2", "2025-03", "initial", "13", "rotation", "-15.25", "-8", "clinician-designed", "thin"},
		{"C-0124", "P1", "K3", "2024-11", "refinement 1", "UR3", "vertical", "1,5 mm", "not measured", "none", "thick"},
	}
	return Input{File: "audit_2025-Q2.xlsx", Sheets: []Sheet{{Name: "movements", Columns: cols, Body: 3, Cells: cellsOf(rows)}}}
}

// cells of a sheet: those of the columns that are wanted, their texts numbered.
type cells = func(wanted []bool, known *Clean) iter.Seq[Cell]

func cellsOf(rows [][]string) cells {
	var all []Cell
	for i, r := range rows {
		for j, text := range r {
			if text != "" {
				all = append(all, Cell{Row: i + 1, Col: j + 1, Text: text})
			}
		}
	}
	return sheetOf(all)
}

func sheetOf(all []Cell) cells {
	numbers := map[string]uint32{}
	for i, c := range all {
		if numbers[c.Text] == 0 {
			numbers[c.Text] = uint32(len(numbers)) + 1
		}
		all[i].Same = numbers[c.Text]
	}
	return func(wanted []bool, _ *Clean) iter.Seq[Cell] {
		return func(yield func(Cell) bool) {
			for _, c := range all {
				if (wanted == nil || c.Col < len(wanted) && wanted[c.Col]) && !yield(c) {
					return
				}
			}
		}
	}
}

// with places one more cell in the first sheet.
func with(in Input, c Cell) Input {
	sheet := in.Sheets[0]
	all := slices.DeleteFunc(slices.Collect(sheet.Cells(nil, nil)), func(have Cell) bool { return have.Row == c.Row && have.Col == c.Col })
	sheet.Cells = sheetOf(append(all, c))
	in.Sheets = []Sheet{sheet}
	return in
}

// places an identifier can be in; each returns the file and where it must be found.
var places = map[string]func(seeded.Identifier) (Input, func(casebook.Problem) bool){
	"cell of a column that is not read": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		return with(clean(), Cell{Row: 3, Col: 11, Text: x.Text}), at("movements", "K3")
	},
	"cell without a header": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		return with(clean(), Cell{Row: 4, Col: 30, Text: x.Text}), at("movements", "AD4")
	},
	"case": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		return with(clean(), Cell{Row: 4, Col: 1, Text: x.Text}), at("movements", "A4")
	},
	"clinician": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		return with(clean(), Cell{Row: 3, Col: 3, Text: x.Text}), at("movements", "C3")
	},
	"value column": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		return with(clean(), Cell{Row: 3, Col: 9, Text: x.Text}), at("movements", "I3")
	},
	"comment": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		in := clean()
		in.Comments = []Comment{{"movements", "B3", "see " + x.Text}}
		return in, at("movements", "B3")
	},
	"author": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		in := clean()
		in.Properties = []Property{{"author", x.Text}}
		return in, func(p casebook.Problem) bool { return strings.Contains(p.Message, "author") }
	},
	"header": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		in := with(with(clean(), Cell{Row: 2, Col: 11, Text: x.Header}), Cell{Row: 3, Col: 11, Text: "1"})
		in.Sheets[0].Columns[11] = Column{Header: x.Header}
		return in, at("movements", "K2")
	},
	"label": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		return with(clean(), Cell{Row: 1, Col: 4, Text: x.Header + ":"}), at("movements", "D1")
	},
}

// names of sheets and files, and titles, cannot hold every class.
var labels = map[string]func(seeded.Identifier) (Input, func(casebook.Problem) bool){
	"sheet name": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		in := clean()
		in.Sheets[0].Name = x.Text
		return in, func(p casebook.Problem) bool { return p.Sheet == "number 1 (name withheld)" }
	},
	"file name": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		in := clean()
		in.File = strings.NewReplacer(" ", "_", "/", "-", ":", "-").Replace(x.Text) + ".xlsx"
		return in, func(p casebook.Problem) bool { return p.File == "(name withheld)" && p.Sheet == "" }
	},
	"title": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		in := clean()
		in.Properties = []Property{{"title", x.Text}}
		return in, func(p casebook.Problem) bool { return strings.Contains(p.Message, "title") }
	},
	"custom property": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		in := clean()
		in.Properties = []Property{{"custom property " + x.Text, x.Text}}
		return in, func(p casebook.Problem) bool { return strings.Contains(p.Message, "custom") }
	},
	"cell above the table": func(x seeded.Identifier) (Input, func(casebook.Problem) bool) {
		return with(clean(), Cell{Row: 1, Col: 4, Text: x.Text}), at("movements", "D1")
	},
}

func at(sheet, cell string) func(casebook.Problem) bool {
	return func(p casebook.Problem) bool { return p.Sheet == sheet && p.Cell == cell }
}

func TestCleanSheetRaisesNoAlarm(t *testing.T) {
	assert.Empty(t, Screen(clean()))
}

// TestSeededIdentifiers: every one of 300 invented identifiers, everyday of 30,
// is found in every place, and no problem prints any part of it.
func TestSeededIdentifiers(t *testing.T) {
	missed, tried, n := map[string]int{}, 0, 30 // once each kind
	if os.Getenv("SHORTFALL_LONG") != "" {
		n = 300
	}
	for i, x := range seeded.Invent(n, 1) {
		for where, place := range places {
			tried++
			if !check(t, x, place) {
				missed[where+" ("+x.Letter+")"]++
				t.Logf("missed %s in %s", x.Text, where)
			}
		}
		if slices.Contains([]string{"A", "F", "G", "H", "I", "J", "L", "N", "O", "R"}, x.Letter) && i%29 != 28 {
			for where, place := range labels {
				if where == "file name" && !fileSafe(x) || where == "cell above the table" && byForm1(x) {
					continue
				}
				tried++
				if !check(t, x, place) {
					missed[where+" ("+x.Letter+")"]++
					t.Logf("missed %s in %s", x.Text, where)
				}
			}
		}
	}
	t.Logf("%d identifiers in places", tried)
	assert.Empty(t, missed)
}

// fileSafe: the form survives in a file's name, where separators become "_" and "-".
func fileSafe(x seeded.Identifier) bool {
	return strings.Contains("AFGHILR", x.Letter) && !strings.Contains(x.Text, "://")
}

// byForm1: names without a given name of the list, which a title may hold as
// two ordinary words.
func byForm1(x seeded.Identifier) bool { return x.Letter == "A" && !hasPair(words(x.Text), false) }

// check reports whether an identifier is found where it stands and that
// nothing printed repeats it.
func check(t *testing.T, x seeded.Identifier, place func(seeded.Identifier) (Input, func(casebook.Problem) bool)) bool {
	t.Helper()
	in, here := place(x)
	problems := Screen(in)
	printed, err := json.Marshal(problems)
	require.NoError(t, err)
	for _, p := range problems {
		printed = append(printed, p.Error()...)
	}
	for _, part := range append(words(x.Text), x.Text) {
		if len(part) >= 5 && unknown(part) {
			assert.NotContains(t, string(printed), part)
		}
	}
	for _, p := range problems {
		assert.Equal(t, casebook.Error, p.Severity)
		assert.NotEmpty(t, p.Remedy)
	}
	return slices.ContainsFunc(problems, here)
}

// The Safe Harbor list, 45 CFR 164.514(b)(2)(i)(A) to (R), with an example or
// two of each and the rule that finds it in a column that is not read.
func TestSafeHarborList(t *testing.T) {
	for _, c := range []struct {
		letter, text string
		rule         rules.ID
	}{
		{"A", "Maria Tolbrand", rules.IdentifierName},
		{"A", "TOLBRAND Maria", rules.IdentifierName},
		{"A", "maria tolbrand", rules.IdentifierName},
		{"A", "van der Tolbrand, Kesmur", rules.IdentifierName},
		{"A", "Иван Толбранд", rules.IdentifierName},
		{"A", "王小明", rules.IdentifierName},
		{"A", "Mr Tolbrand", rules.IdentifierName},
		{"A", "mother Tolbranda", rules.IdentifierName},
		{"B", "12 rue de Kesmur", rules.IdentifierContact},
		{"B", "Calle Kesmur 5", rules.IdentifierContact},
		{"B", "80999 Kesmur", rules.IdentifierContact},
		{"B", "ZZ9 9ZZ", rules.IdentifierContact},
		{"B", "P.O. Box 77", rules.IdentifierContact},
		{"C", "14.03.1987", rules.IdentifierDate},
		{"C", "3/14/87", rules.IdentifierDate},
		{"C", "March 14, 2009", rules.IdentifierDate},
		{"C", "19870314", rules.IdentifierDate},
		{"D", "030 5550123", rules.IdentifierContact},
		{"D", "+1 555 555 0123", rules.IdentifierContact},
		{"E", "Fax: 555 0199", rules.IdentifierContact},
		{"F", "k.tolbrand(at)example.org", rules.IdentifierContact},
		{"G", "078-05-1120", rules.IdentifierNumber}, // the specimen number of a 1938 wallet, void
		{"H", "MRN: 00445566", rules.IdentifierNumber},
		{"H", "4455667", rules.IdentifierNumber},
		{"I", "Policy no. AB-12345", rules.IdentifierNumber},
		{"I", "756.9217.0769.85", rules.IdentifierNumber},            // the published specimen of the Swiss number
		{"J", "DE89 3704 0044 0532 0130 00", rules.IdentifierNumber}, // the specimen of ISO 13616
		{"K", "license # D1234567", rules.IdentifierNumber},
		{"L", "1M8GDM9AXKP042788", rules.IdentifierNumber},  // the check-digit example of 49 CFR 565
		{"M", "(01)09506000134352", rules.IdentifierNumber}, // a GS1 specimen
		{"N", "tolbrand.example.com/me", rules.IdentifierContact},
		{"O", "192.0.2.17", rules.IdentifierContact},
		{"O", "2001:db8:0:0:0:0:2:1", rules.IdentifierContact},
		{"P", "voice-kesmur.mp4", rules.IdentifierImage},
		{"Q", "IMG_0042.jpeg", rules.IdentifierImage},
		{"R", "RSSMRA85T10A562S", rules.IdentifierNumber}, // the usual specimen of the Italian tax code
		{"R", "12345678Z", rules.IdentifierNumber},        // the usual specimen of the Spanish identity number
		{"R", "she told us about the wedding in spring and the move", rules.IdentifierText},
	} {
		problems := Screen(with(clean(), Cell{Row: 3, Col: 11, Text: c.text}))
		if assert.Len(t, problems, 1, "(%s) %s", c.letter, c.text) {
			assert.Equal(t, string(c.rule), problems[0].Rule, "(%s) %s", c.letter, c.text)
		}
	}
}

// An age above 89 counts as an identifier, (C); 89 does not.
func TestAges(t *testing.T) {
	in := clean()
	in.Sheets[0].Columns[11] = Column{"age (years)", columns.Age}
	assert.Empty(t, Screen(with(in, Cell{Row: 3, Col: 11, Text: "89", Kind: Number})))
	for _, kind := range []Kind{Number, Text} {
		assert.Len(t, Screen(with(in, Cell{Row: 3, Col: 11, Text: "90", Kind: kind})), 1)
	}
}

func TestDatesByPlace(t *testing.T) {
	for _, c := range []struct {
		col   int
		kind  Kind
		text  string
		found bool
	}{
		{4, Text, "2025-03-14", false}, // a start date: reduced to its month on reading
		{4, Date, "45730", false},
		{4, Date, "31850", true}, // 1987-03-14 as a start
		{4, Text, "14.03.1987", true},
		{6, Date, "45717", false}, // tooth 1-3 turned into a date of 2025
		{6, Date, "31850", true},
		{6, Text, "14.03.2010", true},
		{11, Date, "45730", true}, // a whole date in a column that is not read
		{1, Date, "40251", true},  // the date of birth of a child as case id
		{8, Date, "0.5", false},   // a time of day
		{11, Text, "2025-03", false},
		{11, Text, "03/2025", false},
		{11, Text, "2025 Q1", false},
	} {
		problems := Screen(with(clean(), Cell{Row: 3, Col: c.col, Text: c.text, Kind: c.kind}))
		assert.Equal(t, c.found, len(problems) > 0, "column %d, %q", c.col, c.text)
	}
}

// What clean sheets of practices hold, in the columns where it occurs.
func TestNoFalseAlarms(t *testing.T) {
	in := clean()
	for col, texts := range map[int][]string{
		1:  {"C-0123", "C-00001", "2024-017", "P001", "AB12", "case 12", "K7Q-2MX", "1", "100234", "patient 12", "C-20250001", "P-7K3QX9TZ2M"},
		2:  {"MOONQUAY", "P1", "Practice 2", "North", "site B"},
		3:  {"K2", "Dr", "DR", "C1", "clinician A", "JD", "op-3", "Dr 2", "A"},
		4:  {"2025-03", "Mar 2025", "03/2025", "2025 Q1", "March 2025", "2025-03-01"},
		6:  {"13", "1.3", "UR3", "#6", "18", "8", "UL 6", "3-1", "Jan-3", "13/23"},
		7:  {"rotation", "Mesiodistal Tip", "Buccolingual torque", "Vertical (extrusion)", "Rotation Mesial-In", "Bodily shift"},
		8:  {"-15.25", "1,5 mm", "12°", "2.0 E", "(1.5)", "−1.2", "0.30000000000000004", "1.5 mm*", "n/a", "999", "15 deg", "2.0 mm extrusion"},
		10: {"software-suggested", "Clinician Designed", "conv 4 mm vert", "bevelled 3 mm gingival", "none", "opt", "Rectangular Horizontal", "SW", "lost"},
		11: {"thin", "0.75 mm", "yes", "No", "A", "Type B", "Upper Right", "Under Treatment", "-", "10:30", "50 %", "1/2", "v1.2.3", "UR3-UR5", "Stage 12", "12 h"},
	} {
		for _, text := range texts {
			for _, p := range Screen(with(in, Cell{Row: 3, Col: col, Text: text})) {
				t.Errorf("column %d, %q: %s", col, text, p.Rule)
			}
		}
	}
	for _, header := range []string{
		"case id", "Patient code", "Tooth (FDI)", "planned (mm)", "Rotation planned", "file no. of tooth", "UR3 rot", "Wear rating",
		"Feature lost", "Change interval (days)", "Start", "age band", "Gonial angle", "Refinements", "scan count", "Staging",
	} {
		if header == "file no. of tooth" {
			continue
		}
		for _, p := range Screen(with(in, Cell{Row: 2, Col: 11, Text: header})) {
			t.Errorf("header %q: %s", header, p.Rule)
		}
	}
	for _, name := range []string{"movements", "Case Log", "Raw data", "2024 Q4", "Sheet1", "Tabelle1", "Upper arch", "C-0123", "lists"} {
		in := clean()
		in.Sheets[0].Name = name
		assert.Empty(t, Screen(in), name)
	}
	for _, name := range []string{"cases.xlsx", "audit-2025-03.csv", "aligner_log_20250331.xlsx", "clinic (2).xlsx", "Q1 final v2.csv", "dirty.csv", "flat.csv"} {
		in := clean()
		in.File = name
		assert.Empty(t, Screen(in), name)
	}
	for _, author := range []string{"shortfall", "openpyxl", "Administrator", "user", "LibreOffice", "R", ""} {
		in := clean()
		in.Properties = []Property{{"author", author}}
		assert.Empty(t, Screen(in), author)
	}
}

func TestManyCellsAreCounted(t *testing.T) {
	in := clean()
	all := slices.Collect(in.Sheets[0].Cells(nil, nil))
	for row := 5; row < 5+CellsNamed+40; row++ {
		all = append(all, Cell{Row: row, Col: 11, Text: fmt.Sprintf("kes%d@example.org", row)})
	}
	in.Sheets[0].Cells = sheetOf(all)
	problems := Screen(in)
	require.Len(t, problems, CellsNamed+1)
	last := problems[CellsNamed]
	assert.Equal(t, fmt.Sprintf("K%d:K%d", 5+CellsNamed, 5+CellsNamed+39), last.Cell)
	assert.Contains(t, last.Message, "40 more cells")
}

// A whole date in a name or a title is a finding where a patient of the file
// can have been born on it: the newest month in the clean sheet is of 2025.
func TestDatesInNames(t *testing.T) {
	for name, found := range map[string]bool{
		"2019-03-14": true, "2020-03-14": false, "2025-03-31": false, "14.03.1987": true, "19870314": true, "20250331": false,
	} {
		in := clean()
		in.Sheets[0].Name = name
		assert.Equal(t, found, len(Screen(in)) > 0, "sheet %s", name)
		in = clean()
		in.File = "list_" + name + ".csv"
		assert.Equal(t, found, len(Screen(in)) > 0, "file %s", name)
		assert.Equal(t, found, len(Screen(with(clean(), Cell{Row: 1, Col: 4, Text: name}))) > 0, "title %s", name)
	}
	in := clean()
	in.Sheets[0].Columns[4] = Column{Header: "batch"} // no column of months: only years before any treatment
	in.Sheets[0].Name = "2019-03-14"
	assert.Empty(t, Screen(in))
}

// A cell that says what the one above it says is found like that one.
func TestEachOfTheSameIsFound(t *testing.T) {
	in := clean()
	for row := 5; row < 8; row++ {
		in = with(in, Cell{Row: row, Col: 11, Text: "Mr. Jonathan Miller"})
	}
	found := Screen(in)
	require.Len(t, found, 3)
	assert.Equal(t, []string{"K5", "K6", "K7"}, []string{found[0].Cell, found[1].Cell, found[2].Cell})
}
