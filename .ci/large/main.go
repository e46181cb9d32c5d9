// Command large writes an invented workbook, or the same rows as text, of as many
// movements as are asked for, to measure what a large file costs (.ci/measure). Texts
// are shared and cells are written as spreadsheet programs write them.
package main

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/template"
	"shortfall/sampledata"
)

func main() {
	rows := flag.Int("rows", 200_000, "movements")
	wide := flag.Bool("wide", false, "all columns that a flat sheet can have, not fourteen")
	out := flag.String("o", "", "the file, .xlsx or .csv")
	flag.Parse()
	if err := write(*out, *rows, *wide); err != nil {
		fmt.Fprintln(os.Stderr, "large:", err)
		os.Exit(1)
	}
}

func write(path string, n int, wide bool) (err error) {
	rows, err := table(n)
	if err != nil {
		return err
	}
	if !wide {
		rows = narrow(rows)
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer func() {
		if e := f.Close(); err == nil {
			err = e
		}
	}()
	if filepath.Ext(path) == ".csv" {
		return csv.NewWriter(f).WriteAll(rows)
	}
	return workbook(f, rows)
}

// movementsOfCase is less than the invented practice plans for one, so that there are
// rows enough.
const movementsOfCase = 36

// table gives the rows of a flat sheet, header first.
func table(n int) ([][]string, error) {
	p := sampledata.Default()
	p.Cases = n/movementsOfCase + 1
	ds, _ := sampledata.Generate(p, sampledata.DefaultSeed)
	if len(ds.Movements) < n {
		return nil, fmt.Errorf("%d cases gave %d movements", p.Cases, len(ds.Movements))
	}
	ds.Movements, ds.Invented = ds.Movements[:n], false
	var b bytes.Buffer
	if err := template.WriteFlat(&b, ds, template.Meta{}); err != nil {
		return nil, err
	}
	return csv.NewReader(&b).ReadAll()
}

// narrow keeps the columns that a sheet most often has.
func narrow(rows [][]string) [][]string {
	var keep []int
	for i, h := range rows[0] {
		if slices.Contains([]string{
			"case", "practice", "clinician", "age band", "start month", "status", "course", "tooth", "axis",
			"planned", "achieved", "unit", "style", "shape",
		}, strings.TrimSuffix(h, " (mm or degrees)")) {
			keep = append(keep, i)
		}
	}
	for i, r := range rows {
		out := make([]string, len(keep))
		for j, k := range keep {
			out[j] = r[k]
		}
		rows[i] = out
	}
	return rows
}

// parts of a workbook beside its sheet and its texts (ECMA-376 part 1, 12.2 and 12.3).
var parts = map[string]string{
	"[Content_Types].xml":        `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/><Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>`,
	"_rels/.rels":                `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
	"xl/workbook.xml":            `<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="movements" sheetId="1" r:id="rId1"/></sheets></workbook>`,
	"xl/_rels/workbook.xml.rels": `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>`,
}

func workbook(w io.Writer, rows [][]string) error {
	z := zip.NewWriter(w)
	for _, name := range []string{"[Content_Types].xml", "_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"} {
		if err := part(z, name, func(w *bufio.Writer) { w.WriteString(parts[name]) }); err != nil {
			return err
		}
	}
	texts := texts{number: map[string]int{}}
	if err := part(z, "xl/worksheets/sheet1.xml", func(w *bufio.Writer) { texts.sheet(w, rows) }); err != nil {
		return err
	}
	if err := part(z, "xl/sharedStrings.xml", texts.write); err != nil {
		return err
	}
	return z.Close()
}

func part(z *zip.Writer, name string, content func(*bufio.Writer)) error {
	f, err := z.Create(name)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	w.WriteString(xml.Header)
	content(w)
	return w.Flush()
}

// texts are those that cells share.
type texts struct {
	number map[string]int
	order  []string
	uses   int
}

func (t *texts) sheet(w *bufio.Writer, rows [][]string) {
	var letters []string
	for i := range rows[0] {
		name, _ := excelize.ColumnNumberToName(i + 1)
		letters = append(letters, name)
	}
	w.WriteString(`<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`)
	for i, r := range rows {
		number := strconv.Itoa(i + 1)
		fmt.Fprintf(w, `<row r="%s" spans="1:%d">`, number, len(r))
		for j, s := range r {
			if s == "" {
				continue
			}
			if _, err := strconv.ParseFloat(s, 64); err == nil {
				fmt.Fprintf(w, `<c r="%s%s"><v>%s</v></c>`, letters[j], number, s)
			} else {
				fmt.Fprintf(w, `<c r="%s%s" t="s"><v>%d</v></c>`, letters[j], number, t.of(s))
			}
		}
		w.WriteString(`</row>`)
	}
	w.WriteString(`</sheetData></worksheet>`)
}

func (t *texts) of(s string) int {
	t.uses++
	n, ok := t.number[s]
	if !ok {
		n = len(t.order)
		t.number[s] = n
		t.order = append(t.order, s)
	}
	return n
}

func (t *texts) write(w *bufio.Writer) {
	fmt.Fprintf(w, `<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="%d" uniqueCount="%d">`, t.uses, len(t.order))
	for _, s := range t.order {
		w.WriteString(`<si><t>`)
		xml.EscapeText(w, []byte(s))
		w.WriteString(`</t></si>`)
	}
	w.WriteString(`</sst>`)
}
