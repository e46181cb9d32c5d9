package pseudonym

import (
	"errors"
	"fmt"
	"os"
	"strconv"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/sheet"
	"shortfall/ingest/template"
)

// written is the date in the properties of every copy: when it was made is
// nobody's business.
const written = "2025-01-01T00:00:00Z"

// percentFormat is the built-in format "0%" (ECMA-376 part 1, 18.8.30).
const percentFormat = 9

// writeWorkbook writes the tables to a new file of mode 0600.
func writeWorkbook(path string, tables []*table) error {
	f := excelize.NewFile()
	defer f.Close()
	template.FixOrder(f)
	percent, err := f.NewStyle(&excelize.Style{NumFmt: percentFormat})
	if err != nil {
		return err
	}
	for i, t := range tables {
		if i == 0 {
			err = f.SetSheetName("Sheet1", t.name)
		} else {
			_, err = f.NewSheet(t.name)
		}
		if err == nil {
			err = writeTable(f, t, percent)
		}
		if err != nil {
			return err
		}
	}
	props := &excelize.DocProperties{Creator: "shortfall", LastModifiedBy: "shortfall", Created: written, Modified: written}
	if err := f.SetDocProps(props); err != nil {
		return err
	}
	if err := f.SetAppProps(&excelize.AppProperties{Application: "shortfall"}); err != nil {
		return err
	}
	out, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	return errors.Join(f.Write(out), out.Sync(), out.Close())
}

func writeTable(f *excelize.File, t *table, percent int) error {
	sw, err := f.NewStreamWriter(t.name)
	if err != nil {
		return err
	}
	headers := make([]any, len(t.headers))
	for i, h := range t.headers {
		headers[i] = h
	}
	if err := sw.SetRow("A1", headers); err != nil {
		return err
	}
	for i, row := range t.rows {
		cells := make([]any, len(row))
		for j, c := range row {
			cells[j] = cellValue(c, percent)
		}
		if err := sw.SetRow(fmt.Sprintf("A%d", i+2), cells); err != nil {
			return err
		}
	}
	return sw.Flush()
}

// cellValue keeps numbers numbers and texts texts; what looks like a formula
// stays a text.
func cellValue(c sheet.Cell, percent int) any {
	switch c.Kind {
	case sheet.Number:
		x, err := strconv.ParseFloat(c.Text, 64)
		if err != nil {
			return c.Text
		}
		if c.Percent {
			return excelize.Cell{StyleID: percent, Value: x}
		}
		return x
	case sheet.Bool:
		return c.Text == "TRUE"
	case sheet.Blank, sheet.NoValue:
		return nil
	}
	return c.Text
}
