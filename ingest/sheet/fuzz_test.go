package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/richardlehane/mscfb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fuzzLimits are small, so that a fuzzer that finds how to be costly is refused.
var fuzzLimits = Limits{Cells: 10_000, Rows: 5000, Columns: 300, Texts: 500, MergedCells: 10_000, UnpackedBytes: 4 << 20}

// keepsItsWord holds a file that was read against what every reader promises, and an
// error against what people are told. A reader that panicked and was caught is a failure here.
func keepsItsWord(t *testing.T, b *Book, err error, l Limits) {
	t.Helper()
	if err != nil {
		p := problemOf(err)
		assert.NotEmpty(t, p.Rule)
		assert.NotContains(t, p.Message, "could not be read", "the reader panicked")
		return
	}
	cells := 0
	for _, s := range b.Sheets {
		last := 0
		for _, r := range s.Rows {
			assert.Greater(t, r.Number, last)
			assert.LessOrEqual(t, r.Number, l.Rows)
			last = r.Number
			for i, c := range r.All() {
				assert.NotEqual(t, Blank, c.Kind)
				assert.True(t, c.Col >= 1 && int(c.Col) <= l.Columns)
				assert.True(t, i == 0 || r.Cell(i-1).Col < c.Col)
			}
			cells += r.Len()
		}
		for _, a := range s.Merged {
			assert.True(t, a.Row1 >= 1 && a.Col1 >= 1 && a.Row1 <= a.Row2 && a.Col1 <= a.Col2)
		}
	}
	assert.LessOrEqual(t, cells, l.Cells)
	assert.LessOrEqual(t, len(b.Properties)+len(b.Comments), l.Texts)
}

// part reads a part of a container, nil where it has none.
func part(t testing.TB, path, name string) []byte {
	t.Helper()
	zr, err := zip.OpenReader(path)
	if err != nil {
		return nil
	}
	defer zr.Close()
	f, err := zr.Open(name)
	if err != nil {
		return nil
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, 1<<20))
	if err != nil {
		return nil
	}
	return data
}

// packed is a container of parts that are stored as they are, by name in turn.
func packed(t testing.TB, parts ...any) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := 0; i < len(parts); i += 2 {
		f, err := w.CreateHeader(&zip.FileHeader{Name: parts[i].(string), Method: zip.Store})
		require.NoError(t, err)
		_, err = f.Write(parts[i+1].([]byte))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

// FuzzWorkbook puts any bytes in place of the parts of a workbook, all at once:
// the sheet, its texts and formats, the list of sheets, and what stands around the cells.
func FuzzWorkbook(f *testing.F) {
	around := []string{"xl/comments1.xml", "xl/drawings/drawing1.xml", "xl/tables/table1.xml", "docProps/custom.xml", "docProps/core.xml"}
	for _, path := range files(f) {
		sheet := part(f, path, "xl/worksheets/sheet1.xml")
		if len(sheet) == 0 || len(sheet) > 1<<14 {
			continue
		}
		extra, kind := []byte(nil), byte(0)
		for i, name := range around {
			if data := part(f, path, name); data != nil {
				extra, kind = data, byte(i)
				break
			}
		}
		f.Add(sheet, part(f, path, "xl/sharedStrings.xml"), part(f, path, "xl/styles.xml"), part(f, path, "xl/workbook.xml"),
			part(f, path, "xl/_rels/workbook.xml.rels"), extra, kind)
	}
	limits := fuzzLimits.withDefaults()
	f.Fuzz(func(t *testing.T, sheet, texts, styles, book, rels, extra []byte, kind byte) {
		data := packed(t, "xl/workbook.xml", book, "xl/_rels/workbook.xml.rels", rels, "xl/worksheets/sheet1.xml", sheet,
			"xl/sharedStrings.xml", texts, "xl/styles.xml", styles, around[int(kind)%len(around)], extra)
		b, err := Decode(t.Context(), "x.xlsx", data, limits)
		keepsItsWord(t, b, err, limits)
	})
}

// FuzzOpenDocument does the same to the parts of an OpenDocument spreadsheet.
func FuzzOpenDocument(f *testing.F) {
	paths, err := filepath.Glob(filepath.Join("..", "testdata", "*", "*.ods"))
	require.NoError(f, err)
	require.NotEmpty(f, paths)
	for _, path := range paths {
		if content := part(f, path, "content.xml"); len(content) < 1<<15 {
			f.Add(content, part(f, path, "meta.xml"), part(f, path, "styles.xml"))
		}
	}
	limits := fuzzLimits.withDefaults()
	f.Fuzz(func(t *testing.T, content, meta, styles []byte) {
		b, err := Decode(t.Context(), "x.ods", packed(t, "content.xml", content, "meta.xml", meta, "styles.xml", styles), limits)
		keepsItsWord(t, b, err, limits)
	})
}

// FuzzOldWorkbook puts any bytes in place of the stream of records of an old binary workbook.
func FuzzOldWorkbook(f *testing.F) {
	for _, path := range oldWorkbooks(f) {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		r, err := mscfb.New(bytes.NewReader(data))
		if err != nil {
			continue
		}
		for _, e := range r.File {
			if e.Name == "Workbook" && e.Size < 1<<16 {
				stream, err := io.ReadAll(e)
				require.NoError(f, err)
				f.Add(stream)
			}
		}
	}
	limits := fuzzLimits.withDefaults()
	f.Fuzz(func(t *testing.T, stream []byte) {
		b := &Book{Format: Workbook}
		in := newXlsReader(t.Context(), b, limits)
		in.stream = stream
		err := in.read()
		if err == nil {
			err = b.within(limits)
		}
		keepsItsWord(t, b, err, limits)
	})
}

func oldWorkbooks(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("..", "testdata", "*", "*.xls"))
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	return paths
}

// FuzzContainer changes the bytes of whole files: the directories of both kinds of container.
func FuzzContainer(f *testing.F) {
	paths, err := filepath.Glob(filepath.Join("..", "testdata", "files", "*"))
	require.NoError(f, err)
	for _, path := range paths {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		if (isZip(bytes.NewReader(data)) || isOldWorkbook(data)) && len(data) < 1<<14 {
			f.Add(data)
		}
	}
	limits := fuzzLimits.withDefaults()
	f.Fuzz(func(t *testing.T, data []byte) {
		b, err := Decode(t.Context(), "x.xlsx", data, limits)
		keepsItsWord(t, b, err, limits)
	})
}

// FuzzSheetXML puts any bytes in place of a sheet: reading never panics and
// gives an error, or ordered cells within the limits.
func FuzzSheetXML(f *testing.F) {
	for _, path := range files(f) {
		if !strings.HasPrefix(filepath.Base(path), "xml-") {
			continue
		}
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		zr, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil || len(data) > 1<<20 {
			continue
		}
		for _, p := range zr.File {
			if p.Name == "xl/worksheets/sheet1.xml" && p.UncompressedSize64 < 1<<16 {
				rc, err := p.Open()
				require.NoError(f, err)
				var xml bytes.Buffer
				if _, err := xml.ReadFrom(rc); err == nil {
					f.Add(xml.Bytes())
				}
				rc.Close()
			}
		}
	}
	limits := Limits{Cells: 10_000, Rows: 5000, Columns: 300}.withDefaults()
	f.Fuzz(func(t *testing.T, xml []byte) {
		s := &Sheet{Name: "x"}
		around := newFrame(&Book{}, &pack{ctx: t.Context(), limits: limits}, layout{})
		in := &cellReader{ctx: t.Context(), limits: limits, texts: newTexts([]string{"a", "b"}), shared: 2, styles: []numberStyle{plainStyle, dateStyle}, frame: around}
		err := in.read(newTokens(bytes.NewReader(xml)), s)
		if err == nil {
			err = s.arrange()
		}
		if err == nil {
			err = s.clipMerged(limits)
		}
		if err != nil {
			assert.NotEmpty(t, problemOf(err).Rule)
			return
		}
		assert.True(t, slices.IsSortedFunc(s.Rows, func(a, b Row) int { return a.Number - b.Number }))
		for _, r := range s.Rows {
			assert.LessOrEqual(t, r.Number, limits.Rows)
			for i, c := range r.All() {
				assert.NotEqual(t, Blank, c.Kind)
				assert.True(t, i == 0 || r.Cell(i-1).Col < c.Col)
			}
		}
	})
}

// FuzzText reads any bytes as text: never a panic; rows ascend; no cell is lost
// between the separator that was found and the cells that are given.
func FuzzText(f *testing.F) {
	paths, err := filepath.Glob(filepath.Join("..", "testdata", "files", "csv-*"))
	require.NoError(f, err)
	for _, p := range paths {
		data, err := os.ReadFile(p)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		b, err := Decode(t.Context(), "x.csv", data, Limits{Cells: 100_000, Rows: 50_000})
		if err != nil {
			assert.NotEmpty(t, err.Error())
			return
		}
		if b.Format != Text {
			return
		}
		last := 0
		for _, r := range b.Sheets[0].Rows {
			assert.Greater(t, r.Number, last)
			assert.Positive(t, r.Len())
			last = r.Number
		}
	})
}
