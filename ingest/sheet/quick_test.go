package sheet

import (
	"bytes"
	"compress/flate"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bothWays reads a file by scanning and by the decoder alone.
func bothWays(t *testing.T, name string, data []byte, l Limits) (b *Book, err error) {
	t.Helper()
	b, err = Decode(t.Context(), name, data, l)
	quickly = false
	slow, slowErr := Decode(t.Context(), name, data, l)
	quickly = true
	require.Equal(t, fmt.Sprint(slowErr), fmt.Sprint(err))
	require.Equal(t, plainBook(slow), plainBook(b))
	return b, err
}

// plainBook leaves out whether an empty list is nil.
func plainBook(b *Book) string {
	if b == nil {
		return ""
	}
	return fmt.Sprintf("%+v %+v %+v", b.Properties, b.Comments, b.Problems) + sheetsOf(b)
}

func sheetsOf(b *Book) string {
	var out strings.Builder
	for _, s := range b.Sheets {
		fmt.Fprintf(&out, "\n%q %t %v %v %d", s.Name, s.Hidden, s.Merged, s.HiddenCols, s.last)
		for _, r := range s.Rows {
			fmt.Fprintf(&out, "\n%d %t %t %+v", r.Number, r.Hidden, r.Broken, r.Cells())
		}
	}
	return out.String()
}

func TestQuickAndSlowAgree(t *testing.T) {
	n, step, least := 0, 10, 15 // everyday every tenth
	if os.Getenv("SHORTFALL_LONG") != "" {
		step, least = 1, 150
	}
	for _, dir := range []string{"files", "corpus"} {
		paths, err := filepath.Glob(filepath.Join("..", "testdata", dir, "*.xlsx"))
		require.NoError(t, err)
		for i, path := range paths {
			if i%step > 0 {
				continue
			}
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			if len(data) < 1<<20 {
				bothWays(t, filepath.Base(path), data, Limits{})
				n++
			}
		}
	}
	assert.Greater(t, n, least)
}

// oneSheet is a workbook of one sheet whose rows, and whose texts, are given.
func oneSheet(t testing.TB, rows, texts string) []byte {
	return packed(t,
		"xl/workbook.xml", []byte(`<workbook xmlns:r="r"><sheets><sheet name="s" sheetId="1" r:id="rId1"/></sheets></workbook>`),
		"xl/_rels/workbook.xml.rels", []byte(`<Relationships><Relationship Id="rId1" Type="x/worksheet" Target="worksheets/sheet1.xml"/>`+
			`<Relationship Id="rId2" Type="x/sharedStrings" Target="sharedStrings.xml"/></Relationships>`),
		"xl/worksheets/sheet1.xml", []byte(`<worksheet><sheetData>`+rows+`</sheetData></worksheet>`),
		"xl/sharedStrings.xml", []byte(`<sst>`+texts+`</sst>`))
}

// Each of these is XML, or nearly, that a scanner could take for something else.
var odd = []string{
	`<row r="1"><c r="A1"><v>1</v></c></row>`,
	`<row r="1"><c r="A1"><v>1</v></c></row><row r="1"><c r="B1"><v>2</v></c></row>`,
	`<row r="1"/><row r="2" ht="3"/><row r="3"><c r="A3"><v>1</v></c></row>`,
	`<row r="1"><c r="A1"><!-- </c></row> --><v>1</v></c></row>`,
	`<row r="1"><c r="A1"><v><![CDATA[1]]></v></c></row>`,
	`<row r="1"><c r="A1" t="str"><v>a &amp; b</v></c><c r="B1" t="str"><v>a > b</v></c></row>`,
	`<row r="1"><c r="A1" t="str"><v>]]></v></c></row>`,
	"<row r=\"1\"><c r=\"A1\" t=\"str\"><v>a\r\nb</v></c></row>",
	"<row r=\"1\"><c r=\"A1\" t=\"str\"><v>a\x01b</v></c></row>",
	"<row r=\"1\"><c r=\"A1\" t=\"str\"><v>a\xffb</v></c></row>",
	"<row r=\"1\"><c r=\"A1\" t=\"str\"><v>a\uFFFFb</v></c></row>",
	`<row r="1"><c r="A1" r="B1"><v>1</v></c></row>`,
	`<row r="1"><c x:r="B1"><v>1</v></c></row>`,
	`<row r="1" r="2"><c><v>1</v></c></row>`,
	`<row x:r="4"><c><v>1</v></c></row>`,
	`<row r="1" hidden="0" hidden="1"><c><v>1</v></c></row>`,
	`<row r="1" hidden="1"><c><v>1</v></c></row>`,
	`<row r="1" a:b:c="1"><c><v>1</v></c></row>`,
	`<row r="1" :="1"><c><v>1</v></c></row>`,
	`<row r="1"><c r="A1"><v>1</v><v>2</v></c></row>`,
	`<row r="1"><c r="A1"><v/><v>2</v></c></row>`,
	`<row r="1"><c r="A1"><v>1</v><v/></c></row>`,
	`<row r="1"><c r="A1"><f>B1+1</f><v>1</v></c><c r="B1"><f>C1</f></c><c r="C1"><f t="shared" si="0"/><v>2</v></c></row>`,
	`<row r="1"><c r="A1" t="inlineStr"><is><t xml:space="preserve"> x </t></is></c></row>`,
	`<row r="1"><c r="A1" t="inlineStr"><is><r><t>x</t></r><r><t>y</t></r></is></c></row>`,
	`<row r="1"><c r="A1" t="inlineStr"><is><t>x</t></is><is><t>y</t></is></c></row>`,
	`<row r="01"><c r="A01"><v>1</v></c></row>`,
	`<row r="0"><c><v>1</v></c></row>`,
	`<row r="1048577"><c><v>1</v></c></row>`,
	`<row r="1"><c r="XFE1"><v>1</v></c></row>`,
	`<row r="1"><c r="a1"><v>1</v></c></row>`,
	`<row r="1"><c r="A2"><v>1</v></c></row>`,
	`<row r="1"><c r="A1"><v>1</v></c><c><v>2</v></c><c r="A1"><v>3</v></c></row>`,
	`<row r="1"><c r="B1"/><c><v>2</v></c></row>`,
	`<row r="1"><c r="A1" s="7"><v>1</v></c></row>`,
	`<row r="1"><c r="A1" s="-1"><v>1</v></c></row>`,
	`<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row>`,
	`<row r="1"><c r="A1" t="s"><v>99</v></c></row>`,
	`<row r="1"><c r="A1" t="e"><v>#REF!</v></c><c r="B1" t="b"><v>1</v></c><c r="C1" t="?"><v>1</v></c></row>`,
	`<row r="1"><c r="A1"><v> 1 </v></c><c r="B1"><v>x</v></c></row>`,
	`<row r="1"><c r="A1"><v>_x0041_</v></c><c r="B1" t="str"><v>_x0041_</v></c></row>`,
	`<row r="1"><row r="2"><c r="A2"><v>1</v></c></row></row>`,
	`<row r='1'><c r='A1'><v>1</v></c></row><row r="2"><c r="A2"><v>1</v></c></row>`,
	`<row r="1" note="/>"><c r="A1"><v>1</v></c></row>`,
	`<row r="1" note=">"><c r="A1"><v>1</v></c></row>`,
	`<x:row r="1"><c r="A1"><v>1</v></c></x:row><row r="2"><c r="A2"><v>1</v></c></row>`,
	`</sheetData><sheetData><row r="1"><c r="A1"><v>1</v></c></row>`,
	`</sheetData><sheetData/><row r="1"><c r="A1"><v>1</v></c></row><sheetData>`,
	`<row r="1"><c r="A1"><v>1</v></c>`,
	`<row r="1">text<c r="A1"><v>1</v></c></row>`,
	` <row r="1"> <c r="A1"> <v>1</v> </c> </row> `,
}

func TestOddRowsAreReadAlike(t *testing.T) {
	b, err := bothWays(t, "x.xlsx", oneSheet(t, odd[0], ""), Limits{})
	require.NoError(t, err)
	assert.Equal(t, []Cell{{Text: "1", Col: 1, Kind: Number}}, b.Sheets[0].Rows[0].Cells())
	for _, rows := range odd {
		t.Run(rows, func(t *testing.T) {
			bothWays(t, "x.xlsx", oneSheet(t, rows, `<si><t>first</t></si><si><r><t>se</t></r><r><t>cond</t></r></si>`), Limits{})
		})
	}
	for _, texts := range []string{
		`<si><t/></si><si><t>b</t></si>`, `<si/><si><t>b</t></si>`, `<si><t>a</t><t>c</t></si><si><t>b</t></si>`,
		`<si><t>a&lt;</t></si><si><t>_x0042_</t></si>`, `<si><t>a</t><rPh><t>x</t></rPh></si><si><t> </t></si>`, `<si><t>a</si>`,
		`<!-- <si><t>no</t></si> --><si><t>a</t></si><si><t>b</t></si>`,
	} {
		bothWays(t, "x.xlsx", oneSheet(t, `<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row>`, texts), Limits{})
	}
}

// Limits hold on both ways at the same cell.
func TestQuickKeepsLimits(t *testing.T) {
	rows := ""
	for i := range 40 {
		rows += fmt.Sprintf(`<row r="%d"><c r="A%[1]d"><v>1</v></c><c r="B%[1]d" t="inlineStr"><is><t>%s</t></is></c></row>`, i+1, strings.Repeat("x", i))
	}
	for _, l := range []Limits{{Rows: 39}, {Rows: 40}, {Cells: 79}, {Cells: 80}, {Columns: 1}, {CellBytes: 38}, {CellBytes: 39}} {
		bothWays(t, "x.xlsx", oneSheet(t, rows, ""), l)
	}
}

// What is made to look plain and is not costs at most twice: here each row ends the
// scan anew, and the mark that is looked for never comes.
func TestOddCostsAtMostTwice(t *testing.T) {
	rows := strings.Repeat(`<row note=">"/>`, 200_000)
	s := newSource(strings.NewReader(rows))
	for wasted := -1; s.wasted > wasted; {
		wasted = s.wasted
		if piece := s.pieces("<row ", "</row>"); piece != nil {
			s.take(0, len(piece))
		}
		_, err := io.CopyN(io.Discard, s, int64(len(`<row note=">"/>`)))
		require.NoError(t, err)
	}
	assert.Less(t, s.wasted, 2*longestPiece+mostWasted)
}

func FuzzQuick(f *testing.F) {
	for _, rows := range odd {
		f.Add(rows, `<si><t>first</t></si><si><t xml:space="preserve"> b</t></si>`)
	}
	f.Fuzz(func(t *testing.T, rows, texts string) {
		bothWays(t, "x.xlsx", oneSheet(t, rows, texts), fuzzLimits)
	})
}

// BenchmarkRows compares reading a sheet with inflating its bytes and doing no more.
func BenchmarkRows(b *testing.B) {
	var rows strings.Builder
	const n = 50_000
	for i := 1; i <= n; i++ {
		fmt.Fprintf(&rows, `<row r="%d" spans="1:8">`, i)
		for c, col := range "ABCDEFGH" {
			if c%2 == 0 {
				fmt.Fprintf(&rows, `<c r="%c%d" t="s"><v>%d</v></c>`, col, i, (i*7+c)%500)
			} else {
				fmt.Fprintf(&rows, `<c r="%c%d" s="0"><v>%d.%d</v></c>`, col, i, i%9, i%83)
			}
		}
		rows.WriteString(`</row>`)
	}
	var texts strings.Builder
	for i := range 500 {
		fmt.Fprintf(&texts, `<si><t>text %d</t></si>`, i)
	}
	data := oneSheet(b, rows.String(), texts.String())
	var deflated bytes.Buffer
	w, _ := flate.NewWriter(&deflated, flate.DefaultCompression)
	w.Write([]byte(rows.String()))
	w.Close()
	time1 := func(do func()) time.Duration { start := time.Now(); do(); return time.Since(start) }
	for b.Loop() {
		inflate := time1(func() { io.Copy(io.Discard, flate.NewReader(bytes.NewReader(deflated.Bytes()))) })
		quick := time1(func() { Decode(b.Context(), "x.xlsx", data, Limits{UnpackedFloor: 1 << 30}) })
		quickly = false
		slow := time1(func() { Decode(b.Context(), "x.xlsx", data, Limits{UnpackedFloor: 1 << 30}) })
		quickly = true
		b.ReportMetric((quick+inflate).Seconds()/inflate.Seconds(), "ratio-to-inflate") // the container here is stored
		b.ReportMetric(quick.Seconds()/slow.Seconds(), "ratio-to-decoder")
	}
}

// A million rows of 14 columns are held to 8 bytes a cell, and nothing in them is for the
// collector of memory to look at.
func TestCellsAreKeptSmall(t *testing.T) {
	assert.EqualValues(t, 8, unsafe.Sizeof(compact{}))
	assert.LessOrEqual(t, unsafe.Sizeof(Row{}), uintptr(48))
}

// Copies of a row share its cells, so what is put into one must not be in the others.
func TestRowsAreChangedApart(t *testing.T) {
	r := RowOf(7, Cell{Text: "a", Col: 1, Kind: String}, Cell{Text: "5", Col: 3, Kind: Number, Percent: true})
	before := r.Cells()
	other := r
	other.Put(Cell{Text: "b", Col: 1, Kind: String})
	other.Put(Cell{Text: "c", Col: 2, Kind: String})
	assert.True(t, other.Remove(3))
	assert.False(t, other.Remove(9))
	assert.Equal(t, []Cell{{Text: "b", Col: 1, Kind: String}, {Text: "c", Col: 2, Kind: String}}, other.Cells())
	assert.Equal(t, before, r.Cells())
	assert.Equal(t, Cell{Text: "5", Col: 3, Kind: Number, Percent: true}, r.At(3))
	for _, col := range []int{-1, 0, 2, 4} {
		assert.Equal(t, Cell{}, r.At(col), "column %d", col)
	}
	assert.Equal(t, before[:1], r.First(1).Cells())
	assert.Equal(t, before, r.Cells())
}

// More texts than are looked for among the recent ones, some of them of one slot, long and
// short, are all given back as they were.
func TestTextsKeepTheirNumbers(t *testing.T) {
	known, numbers := newTexts([]string{"shared", ""}), []uint32{}
	texts := []string{"", "shared", "\x00", strings.Repeat("x", longestRecent), strings.Repeat("x", longestRecent+1)}
	for i := range 3 * len(recent{}) {
		texts = append(texts, fmt.Sprint("text ", i))
	}
	for i, s := range texts {
		n := number(known, s)
		if i%2 == 0 {
			n = number(known, []byte(s))
		}
		numbers = append(numbers, n)
	}
	for i, s := range texts {
		require.Equal(t, s, known.list[numbers[i]])
	}
	assert.Equal(t, number(known, "text 5"), number(known, []byte("text 5")))
}
