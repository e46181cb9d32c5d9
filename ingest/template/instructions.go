package template

import (
	"fmt"
	"math"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// line of the page of instructions: up to four cells under one style.
type line struct {
	style func(styles) int
	cells []string
}

func heading(s string) line { return line{func(s styles) int { return s.section }, []string{s}} }
func strongLine(cells ...string) line {
	return line{func(s styles) int { return s.bold }, cells}
}
func plain(cells ...string) line { return line{func(s styles) int { return s.body }, cells} }

// directions in plain words, by axis: what a positive and a negative amount mean.
var directions = map[casebook.Axis][2]string{
	casebook.Vertical:          {"extrusion", "intrusion"},
	casebook.Rotation:          {"mesial side turns inward", "mesial side turns outward"},
	casebook.Tip:               {"crown tips mesially", "crown tips distally"},
	casebook.Torque:            {"crown tips buccally", "crown tips lingually"},
	casebook.MesiodistalShift:  {"tooth moves mesially", "tooth moves distally"},
	casebook.BuccolingualShift: {"tooth moves buccally", "tooth moves lingually"},
}

func instructions() []line {
	lines := []line{
		{func(s styles) int { return s.title }, []string{"How to fill in this workbook"}},
		plain("One row a case, a course, a movement or a repeated measurement, each on its own sheet. Fill in only what you know: a column that your practice does not record may stay blank."),
		plain("The darker headers must be filled in every row. Cells with an arrow offer the words to choose from. The example rows (case " + columns.ExampleID + ") are passed over; you may delete them."),
		{},
		heading("Which cases"),
		plain("List every case that was started in the period, not only the finished ones: cases that were discontinued, switched to another appliance, transferred or are still under treatment belong on the sheet of cases. An audit of the finished cases alone looks better than the practice is."),
		{},
		heading("Privacy"),
		plain("No names, dates of birth, addresses, telephone numbers, e-mail addresses, record or insurance numbers anywhere: not in cells, comments, sheet names, the file's name or its properties. Use a pseudonym for each case and a code for each clinician, and keep the key to them elsewhere."),
		plain("Give months (2025-03), not days, and an age band, not an age or a date of birth. Free text has no place here. Pseudonyms are still personal data in many countries: follow your local data-protection rules and ask whoever answers for them before the file leaves the practice."),
		{},
		heading("Courses"),
		plain("A course is one set of aligners made from one plan. The first is \"initial\"; each new plan after a new scan is a refinement, numbered from 1."),
		{},
		heading("Sign of a movement"),
		plain("Planned and achieved are movements of the crown, with a sign, seen from the tooth itself, so that left and right teeth read alike."),
		strongLine("Axis", "Unit", "Positive (+)", "Negative (-)"),
	}
	for _, a := range casebook.Axes() {
		d := directions[a]
		lines = append(lines, plain(a.String(), a.Unit().String(), d[0], d[1]))
	}
	lines = append(
		lines, line{},
		heading("Values that are missing"),
		plain("Write \""+columns.MissingCode+"\" under achieved where the outcome was not measured. 0 means that the tooth did not move, and it counts. In the other columns leave the cell blank where nothing is known. Do not use codes such as 999."),
		line{},
		heading("Feature"),
		plain("The feature is the composite bonded to the tooth for the aligner to push on. Style says who designed it: none (no feature was bonded), software-suggested (taken as the planning software proposed it) or clinician-designed (chosen or changed by the clinician)."),
		line{},
	)
	for _, k := range casebook.Kinds() {
		lines = append(lines, columnLines(k)...)
	}
	return append(
		lines, heading("What the audit can and cannot say"),
		plain("It looks back at what happened and shows association, not cause. It supports, and never replaces, the judgement of a licensed clinician and your local clinical-governance and data-protection rules. It is no prediction for a patient and no device for planning treatment."),
	)
}

// columnLines describe the columns of one sheet.
func columnLines(k casebook.Kind) []line {
	lines := []line{
		heading("Columns of the sheet \"" + columns.SheetName(k) + "\""),
		strongLine("Column", "Unit", "Meaning", "Words"),
	}
	for _, d := range columnsOf(k) {
		name := d.Header
		if d.Required {
			name += " (always)"
		}
		lines = append(lines, plain(name, d.Unit, d.About, strings.Join(d.Words, "; ")))
	}
	return append(lines, line{})
}

// writeInstructions writes the page of instructions.
func (b *builder) writeInstructions() error {
	const sheet = columns.InstructionsSheet
	for i, w := range pageWidths {
		col := string(rune('A' + i))
		if err := b.file.SetColWidth(sheet, col, col, w); err != nil {
			return err
		}
	}
	row := 0
	if b.meta.Invented {
		row++
		banner := line{func(s styles) int { return s.banner }, []string{Banner}}
		if err := b.writeLine(row, banner); err != nil {
			return err
		}
	}
	for _, l := range instructions() {
		row++
		if err := b.writeLine(row, l); err != nil {
			return err
		}
	}
	grid := false
	if err := b.file.SetSheetView(sheet, 0, &excelize.ViewOptions{ShowGridLines: &grid}); err != nil {
		return err
	}
	return b.landscape(sheet)
}

// writeLine writes one line; a text on its own runs over the four columns.
func (b *builder) writeLine(row int, l line) error {
	const sheet = columns.InstructionsSheet
	if len(l.cells) == 0 {
		return nil
	}
	cells := make([]any, len(l.cells))
	for i, c := range l.cells {
		cells[i] = c
	}
	first, last := fmt.Sprintf("A%d", row), fmt.Sprintf("D%d", row)
	if err := b.file.SetSheetRow(sheet, first, &cells); err != nil {
		return err
	}
	if err := b.file.SetCellStyle(sheet, first, last, l.style(b.styles)); err != nil {
		return err
	}
	if len(l.cells) == 1 {
		if err := b.file.MergeCell(sheet, first, last); err != nil {
			return err
		}
	}
	return b.file.SetRowHeight(sheet, row, lineHeight(l))
}

// pageWidths of the four columns, in characters.
var pageWidths = [...]float64{28, 18, 52, 42}

// lineHeight makes room for the text that wraps most: spreadsheet programs do
// not fit the height of merged cells. A line of text takes 15 points.
func lineHeight(l line) float64 {
	most := 1.0
	for i, text := range l.cells {
		w := pageWidths[i]
		if len(l.cells) == 1 {
			w = pageWidths[0] + pageWidths[1] + pageWidths[2] + pageWidths[3]
		}
		most = max(most, math.Ceil(float64(len(text))/(0.95*w)))
	}
	if len(l.cells) == 1 && most == 1 {
		return 21 // headings
	}
	return 15*most + 2
}
