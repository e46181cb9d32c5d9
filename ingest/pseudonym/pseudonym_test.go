package pseudonym

import (
	"archive/zip"
	"context"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/privacy"
	"shortfall/ingest/privacy/seeded"
	"shortfall/ingest/scratch"
	"shortfall/ingest/sheet"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it was a fifth of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

func testKey() Key {
	k := make(Key, keyBytes)
	for i := range k {
		k[i] = byte(i)
	}
	return k
}

// The expected value is from Python 3.11: hmac.new(bytes(range(32)),
// b"case\0C-0123", hashlib.sha256).digest(), two bytes a letter modulo 20.
func TestPseudonymIsHMAC(t *testing.T) {
	assert.Equal(t, "P-XMQC-NTMP-GMJW", testKey().name("P", "case", "C-0123"))
	assert.NotEqual(t, testKey().name("P", "case", "C-0123"), testKey().name("P", "clinician", "C-0123"))
	assert.NotEqual(t, testKey().name("P", "case", "C-0123"), Key("another").name("P", "case", "C-0123"))
}

func TestKeyFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "practice.key")
	key, made, err := LoadKey(path, scratch.Create)
	require.NoError(t, err)
	assert.True(t, made)
	assert.Len(t, key, keyBytes)
	again, made, err := LoadKey(path, scratch.Create)
	require.NoError(t, err)
	assert.False(t, made)
	assert.Equal(t, key, again)
	if runtime.GOOS != "windows" {
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
		require.NoError(t, os.Chmod(path, 0o640))
		_, _, err = LoadKey(path, scratch.Create)
		assert.ErrorContains(t, err, "others can read")
	}
	for _, junk := range []string{strings.Repeat("00", 32), strings.Repeat("0123456789abcdef", 4)} {
		bad := filepath.Join(t.TempDir(), "weak.key")
		require.NoError(t, os.WriteFile(bad, []byte(junk), 0o600))
		_, _, err = LoadKey(bad, scratch.Create)
		assert.ErrorContains(t, err, "not drawn at random")
	}
	for _, junk := range []string{"", "hello", strings.Repeat("ab", 31)} {
		bad := filepath.Join(t.TempDir(), "bad.key")
		require.NoError(t, os.WriteFile(bad, []byte(junk), 0o600))
		_, _, err = LoadKey(bad, scratch.Create)
		assert.ErrorContains(t, err, "no key file")
	}
	_, _, err = LoadKey(filepath.Join(t.TempDir(), "no", "such.key"), scratch.Create)
	assert.Error(t, err)
}

// private is what a practice keeps on its own machine: a list of patients and
// their movements, with identifiers in every place a workbook has.
func private(t *testing.T, ids []seeded.Identifier) string {
	f := excelize.NewFile()
	defer f.Close()
	must := func(err error) { t.Helper(); require.NoError(t, err) }
	row := func(sheet string, n int, values ...any) {
		must(f.SetSheetRow(sheet, fmt.Sprintf("A%d", n), &values))
	}
	must(f.SetSheetName("Sheet1", "cases"))
	for _, name := range []string{"movements", "letters"} {
		_, err := f.NewSheet(name)
		must(err)
	}
	row("cases", 1, ids[0].Text)
	row("cases", 2, "chart no", "patient name", "date of birth", "phone", "e-mail", "clinician", "start date", "status", "notes", ids[1].Text)
	row("movements", 1, "chart no", "course", "tooth", "axis", "planned", "achieved", "style", ids[2].Header, "remarks")
	row("letters", 400, ids[2].Text)
	line := 2
	for i, x := range ids[3:] {
		chart := fmt.Sprintf("00%d%05d", 4+i%5, 77001+i)
		row("cases", i+3, chart, x.Text, fmt.Sprintf("%d-05-20", 1950+i%60), x.Text, x.Text, "Dr Tolbrand", "2025-02-17", "completed", x.Text, x.Text)
		for _, tooth := range []string{"43", "23"} {
			row("movements", line, chart, "initial", tooth, "rotation", -12.5-float64(i%5), -8.25, "none", x.Text, x.Text)
			line++
		}
		row("letters", i+1, x.Text)
	}
	must(f.AddComment("cases", excelize.Comment{Cell: "A3", Author: ids[3].Text, Text: ids[4].Text}))
	must(f.SetDocProps(&excelize.DocProperties{Creator: ids[5].Text, Title: ids[6].Text, Keywords: ids[7].Text, Description: ids[8].Text, LastModifiedBy: ids[9].Text}))
	must(f.SetAppProps(&excelize.AppProperties{Company: ids[10].Text}))
	must(f.SetCustomProps(excelize.CustomProperty{Name: "owner", Value: ids[11].Text}))
	must(f.SetHeaderFooter("cases", &excelize.HeaderFooterOptions{OddHeader: "&C" + strings.ReplaceAll(ids[12].Text, "&", "")}))
	must(f.SetSheetVisible("letters", false))
	path := filepath.Join(t.TempDir(), "source.xlsx")
	must(f.SaveAs(path))
	return path
}

var wordForm = regexp.MustCompile(`[\p{L}\d@.]{5,}`)

// TestNothingRemains unzips the copy and looks for every identifier, whole and
// in its parts, in every part of it.
func TestNothingRemains(t *testing.T) {
	n, least := 60, 100 // twice each kind of identifier
	if os.Getenv("SHORTFALL_LONG") != "" {
		n, least = 300, 550
	}
	ids := seeded.Invent(n, 11)
	n -= 3 // of them stand elsewhere than beside a case
	src := private(t, ids)
	dst := filepath.Join(t.TempDir(), "copy.xlsx")
	summary, err := Copy(context.Background(), src, dst, testKey(), Options{CaseHeader: "chart no"})
	require.NoError(t, err)
	assert.Equal(t, Codes{Renamed: n}, summary.Cases)
	assert.Equal(t, n*3, summary.Records)
	assert.Equal(t, Codes{Renamed: 1}, summary.Clinicians)

	parts := unzip(t, dst)
	source := unzip(t, src)
	all, before := strings.Join(parts, "\n"), strings.Join(source, "\n")
	ordinary := "street avenue record license licence moved which works mill march juni octobre example https fingerprint"
	looked := 0
	for _, x := range ids {
		for _, part := range append(wordForm.FindAllString(x.Text, -1), x.Text) {
			if strings.Contains(ordinary, strings.ToLower(part)) {
				continue
			}
			looked++
			if strings.Contains(all, escaped(part)) {
				t.Errorf("%q is in the copy", part)
			}
		}
		assert.Contains(t, before, escaped(x.Text), "the test looks where the source has it")
	}
	assert.Greater(t, looked, least)
	for _, gone := range []string{"Tolbrand", "chart no", "patient name", "0047700", "-05-20", "2025-02-17", "45705", "xuri"} {
		assert.NotContains(t, all, gone)
	}
	b, err := ingest.Read(context.Background(), dst, ingest.Options{})
	require.NoError(t, err)
	assert.Len(t, b.Cases, n)
	assert.Len(t, b.Movements, 2*n)
	cases := map[string]casebook.Case{}
	var order []string
	for _, c := range b.Cases {
		cases[c.Value.ID] = c.Value
		order = append(order, c.Value.ID)
	}
	var was []string
	for i := range n {
		id := testKey().name("P", "case", fmt.Sprintf("00%d%05d", 4+i%5, 77001+i))
		was = append(was, id)
		// 20 May of the year of birth, start February 2025.
		assert.Equal(t, casebook.AgeBandOf(2025-(1950+i%60)-1), cases[id].AgeBand)
		assert.Equal(t, casebook.NewMonth(2025, 2), cases[id].Start)
	}
	assert.Less(t, alike(was, order), 10, "a list in the old order does not line up")
}

// alike counts the places at which two lists agree.
func alike(a, b []string) int {
	n := 0
	for i := range a {
		if a[i] == b[i] {
			n++
		}
	}
	return n
}

func escaped(s string) string {
	var b strings.Builder
	xml.EscapeText(&b, []byte(s))
	return b.String()
}

func unzip(t *testing.T, path string) []string {
	z, err := zip.OpenReader(path)
	require.NoError(t, err)
	defer z.Close()
	var out []string
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		content, err := io.ReadAll(r)
		require.NoError(t, err)
		out = append(out, f.Name, f.Comment, string(f.Extra), string(content))
	}
	return out
}

// Fixtures are read the same before and after, but for the case numbers: every twelfth
// of them, and all with SHORTFALL_LONG.
func TestCopyGivesTheSameRecords(t *testing.T) {
	paths, err := filepath.Glob("../testdata/files/*")
	require.NoError(t, err)
	if len(paths) == 0 {
		t.Skip("no fixtures here")
	}
	compared, step := 0, 20
	if os.Getenv("SHORTFALL_LONG") != "" {
		step = 1
	}
	for i, path := range paths {
		if i%step > 0 {
			continue
		}
		o := ingest.Options{Notation: casebook.NoNotation}
		want, err := ingest.Read(context.Background(), path, o)
		if err != nil {
			continue // what ingest cannot read needs no copy
		}
		dst := filepath.Join(t.TempDir(), "copy.xlsx")
		_, err = Copy(context.Background(), path, dst, testKey(), Options{})
		if !assert.NoError(t, err, path) {
			continue
		}
		got, err := ingest.Read(context.Background(), dst, o)
		if err != nil && strings.Contains(err.Error(), "valid in two notations") {
			o.Notation = casebook.FDI // few teeth: what the copy is written in is said
			got, err = ingest.Read(context.Background(), dst, o)
		}
		if !assert.NoError(t, err, path) {
			continue
		}
		compared++
		if rejectedForCell(want) { // the copy keeps such a row without the cell
			assert.Subset(t, plain(got), recoded(t, want), path)
			continue
		}
		assert.Equal(t, recoded(t, want), plain(got), path)
	}
	t.Logf("%d fixtures compared", compared)
	assert.Greater(t, compared, 60/step)
}

// texts lists movements and cases as text, in one order.
func texts(ds *casebook.Dataset) []string {
	var out []string
	for _, m := range ds.Movements {
		out = append(out, fmt.Sprintf("%+v", m))
	}
	for _, c := range ds.Cases {
		out = append(out, fmt.Sprintf("%+v", c))
	}
	slices.Sort(out)
	return out
}

// rejectedForCell reports a row that was rejected for a cell it can do without.
func rejectedForCell(b *casebook.Batch) bool {
	return slices.ContainsFunc(b.Rejected, func(r casebook.Rejected) bool {
		return slices.ContainsFunc(r.Reasons, func(p casebook.Problem) bool { return p.Cell != "" })
	})
}

// recoded are the records of a batch under the pseudonyms of the test's key.
func recoded(t *testing.T, b *casebook.Batch) []string {
	c := &copier{key: testKey(), book: &sheet.Book{}}
	ds, err := c.recode(b)
	require.NoError(t, err)
	return texts(ds)
}

// plain are the records of a batch as they are.
func plain(b *casebook.Batch) []string {
	ds := &casebook.Dataset{}
	for _, m := range b.Movements {
		ds.Movements = append(ds.Movements, m.Value)
	}
	for _, c := range b.Cases {
		ds.Cases = append(ds.Cases, c.Value)
	}
	return texts(ds)
}

func TestCopyRefuses(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	src := private(t, seeded.Invent(20, 5))
	taken := filepath.Join(dir, "taken.xlsx")
	require.NoError(t, os.WriteFile(taken, []byte("mine"), 0o600))
	_, err := Copy(ctx, src, taken, testKey(), Options{CaseHeader: "chart no"})
	assert.ErrorContains(t, err, "exists already")
	_, err = Copy(ctx, src, filepath.Join(dir, "Anna Tolbrand.xlsx"), testKey(), Options{CaseHeader: "chart no"})
	assert.ErrorContains(t, err, "looks like an identifier")
	assert.NotContains(t, err.Error(), "Tolbrand")
	_, err = Copy(ctx, src, filepath.Join(dir, "copy.xlsx"), testKey(), Options{})
	assert.Error(t, err, "no column tells the cases apart")
	names, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, names, 1, "nothing is left behind")
}

func TestAgeBands(t *testing.T) {
	c := &copier{book: &sheet.Book{}}
	text := func(s string) sheet.Cell { return sheet.Cell{Kind: sheet.String, Text: s} }
	start := casebook.NewMonth(2025, 5)
	cell := func(s string) casebook.AgeBand { return c.bandAtStart(text(s), start) }
	assert.Equal(t, casebook.AgeUnder12, cell("2013-06-01"))
	assert.Equal(t, casebook.Age12To17, cell("2013-05-31"))
	assert.Equal(t, casebook.Age18To29, cell("13.5.2007"))
	assert.Equal(t, casebook.Age60Plus, cell("1 January 1931"))
	assert.Equal(t, casebook.NoAgeBand, cell("03/04/1980"), "day and month cannot be told apart")
	assert.Equal(t, casebook.Age30To44, cell("04/04/1985"))
	assert.Equal(t, casebook.NoAgeBand, cell("2026-01-01"), "after the start")
	serial := sheet.Cell{Kind: sheet.Date, Text: "31850"} // 1987-03-14
	assert.Equal(t, casebook.Age30To44, c.bandAtStart(serial, start))
}

// Pseudonyms must not raise the alarm they are made against.
func TestPseudonymsRaiseNoAlarm(t *testing.T) {
	key, n := testKey(), 2000
	if os.Getenv("SHORTFALL_LONG") != "" {
		n = 20000
	}
	for i := range n {
		p := key.name([]string{"P", "C", "S"}[i%3], "case", fmt.Sprint(i))
		for _, f := range []columns.Field{columns.Case, columns.Clinician, columns.Practice} {
			require.Empty(t, privacy.CellRule(privacy.Cell{Row: 1, Col: 1, Text: p}, f, false), p)
		}
	}
}

// A copy is read by ingest as it is, whatever the practice calls its cases.
func TestCopyOfOwnCaseHeaderIsRead(t *testing.T) {
	dir := t.TempDir()
	for _, header := range []string{"chartno", "Patient name", "Kürzel"} {
		src, dst := filepath.Join(dir, "own.csv"), filepath.Join(dir, "copy.xlsx")
		require.NoError(t, os.WriteFile(src, []byte(header+",course,tooth,axis,planned,achieved\n100201,1,43,rotation,5,4\n100202,1,44,rotation,6,4\n"), 0o600))
		_ = os.Remove(dst)
		_, err := Copy(t.Context(), src, dst, testKey(), Options{CaseHeader: header})
		require.NoError(t, err, header)
		b, err := ingest.Read(t.Context(), dst, ingest.Options{})
		require.NoError(t, err, header)
		assert.Len(t, b.Movements, 2, header)
		assert.Empty(t, b.Rejected)
		assert.NotContains(t, b.Movements[0].Value.Case.ID, "1002")
	}
}
