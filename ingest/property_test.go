package ingest

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest/apart"
	. "shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/sheet"
)

// variant is one way of writing the same invented movements.
type variant struct {
	name string
	// cell writes one value; the default prints it.
	tooth   func(Tooth) string
	number  func(float64) string
	shuffle bool // rows and columns in random order
	wide    bool
	write   func(t *testing.T, rows [][]string) (name string, data []byte)
}

// movementsAt invents movements of some cases, deterministic by seed.
func movementsAt(seed uint64) []Movement {
	rng := rand.New(rand.NewPCG(seed, 1))
	var out []Movement
	for c := range 4 {
		for _, tooth := range AllTeeth()[rng.IntN(16):][:10] {
			m := Movement{
				Case: CaseKey{ID: fmt.Sprintf("K%d", c)}, Course: 1, Tooth: tooth, Axis: Axes()[rng.IntN(6)],
				Planned: float64(rng.IntN(81)-40) / 8, Style: Styles()[rng.IntN(3)],
			}
			m.Achieved = Some(m.Planned + float64(rng.IntN(17)-8)/8)
			out = append(out, m)
		}
	}
	// Teeth that decide the notation in FDI, Universal and Palmer alike.
	for _, tooth := range []Tooth{46, 45, 18, 48, 35} {
		out = append(out, Movement{Case: CaseKey{ID: "K9"}, Course: 1, Tooth: tooth, Axis: Vertical, Planned: -1.25, Achieved: Some(-1.0), Style: StyleNone})
	}
	return out
}

func (v variant) rows(ms []Movement, rng *rand.Rand) [][]string {
	out := [][]string{{"case", "status", "course", "tooth", "axis", "planned", "achieved", "style"}}
	if v.wide {
		out[0] = []string{"case", "status", "course", "tooth", "style"}
		for _, a := range Axes() {
			out[0] = append(out[0], a.String()+" planned", "achieved "+a.String())
		}
	}
	for _, m := range ms {
		row := []string{m.Case.ID, "completed", strconv.Itoa(m.Course), v.tooth(m.Tooth), m.Axis.String(), v.number(m.Planned), v.number(m.Achieved.Value), m.Style.String()}
		if v.wide {
			row = append(row[:4:4], m.Style.String())
			for _, a := range Axes() {
				if a == m.Axis {
					row = append(row, v.number(m.Planned), v.number(m.Achieved.Value))
				} else {
					row = append(row, "", "")
				}
			}
		}
		out = append(out, row)
	}
	if v.shuffle {
		body := out[1:]
		rng.Shuffle(len(body), func(i, j int) { body[i], body[j] = body[j], body[i] })
		order := rng.Perm(len(out[0]))
		for i, r := range out {
			n := make([]string, len(r))
			for j, from := range order {
				n[j] = r[from]
			}
			out[i] = n
		}
	}
	return out
}

func asText(sep string) func(*testing.T, [][]string) (string, []byte) {
	return func(_ *testing.T, rows [][]string) (string, []byte) {
		var b bytes.Buffer
		for _, r := range rows {
			fmt.Fprintln(&b, strings.Join(r, sep))
		}
		return "v.csv", b.Bytes()
	}
}

// asWorkbook stores what looks like a number as a number.
func asWorkbook(t *testing.T, rows [][]string) (string, []byte) {
	f := excelize.NewFile()
	defer f.Close()
	for i, r := range rows {
		for j, s := range r {
			ref, err := excelize.CoordinatesToCellName(j+1, i+1)
			require.NoError(t, err)
			if n, err := strconv.ParseFloat(s, 64); err == nil {
				require.NoError(t, f.SetCellValue("Sheet1", ref, n))
			} else if s != "" {
				require.NoError(t, f.SetCellStr("Sheet1", ref, s))
			}
		}
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	return "v.xlsx", b.Bytes()
}

func decode(t *testing.T, name string, data []byte, o Options) (*Batch, error) {
	t.Helper()
	book, err := sheet.Decode(t.Context(), name, data, o.Limits)
	if err != nil {
		return nil, err
	}
	return FromBook(t.Context(), book, o)
}

// Order, writer, notation, decimal sign and wide against long make no difference.
func TestWaysOfWritingGiveTheSameRecords(t *testing.T) {
	fdi := func(x Tooth) string { return x.In(FDI) }
	point := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	comma := func(v float64) string { return strings.ReplaceAll(point(v), ".", ",") }
	minus := func(v float64) string { return strings.ReplaceAll(point(v), "-", "\u2212") }
	variants := []variant{
		{name: "text, shuffled", tooth: fdi, number: point, shuffle: true, write: asText(",")},
		{name: "tabs, Universal", tooth: func(x Tooth) string { return x.In(Universal) }, number: point, write: asText("\t")},
		{name: "Palmer", tooth: func(x Tooth) string { return x.In(Palmer) }, number: point, shuffle: true, write: asText(";")},
		{name: "decimal comma", tooth: fdi, number: comma, write: asText(";")},
		{name: "Unicode minus", tooth: fdi, number: minus, shuffle: true, write: asText("|")},
		{name: "wide text", tooth: fdi, number: point, wide: true, write: asText(",")},
		{name: "workbook", tooth: fdi, number: point, write: asWorkbook},
		{name: "workbook, shuffled, Universal", tooth: func(x Tooth) string { return x.In(Universal) }, number: point, shuffle: true, write: asWorkbook},
		{name: "wide workbook, shuffled", tooth: fdi, number: point, wide: true, shuffle: true, write: asWorkbook},
		{name: "workbook of texts with decimal comma", tooth: fdi, number: comma, write: asWorkbook},
	}
	for seed := range uint64(max(1, often(4))) {
		ms := movementsAt(seed)
		// A wide row has one style for its tooth, so the long rows of one tooth do too.
		plain := variant{tooth: fdi, number: point, write: asText(",")}
		name, data := plain.write(t, plain.rows(ms, nil))
		want, err := decode(t, name, data, Options{})
		require.NoError(t, err)
		require.Len(t, want.Movements, len(ms), "seed %d", seed)
		assert.ElementsMatch(t, ms, valuesOf(want.Movements))
		for _, v := range variants {
			name, data := v.write(t, v.rows(ms, rand.New(rand.NewPCG(seed, 2))))
			got, err := decode(t, name, data, Options{Answers: usual})
			if assert.NoError(t, err, v.name) {
				sameRecords(t, recordsOf(want), recordsOf(got), v.name)
			}
		}
	}
}

// Damage to the XML of a sheet gives an error, or the same records: never fewer.
func TestDamagedSheetsLoseNothingSilently(t *testing.T) {
	_, data := asWorkbook(t, variant{tooth: func(x Tooth) string { return x.In(FDI) }, number: func(v float64) string {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}}.rows(movementsAt(7), nil))
	want, err := decode(t, "v.xlsx", data, Options{})
	require.NoError(t, err)
	xml := unzip(t, data)["xl/worksheets/sheet1.xml"]
	rng := rand.New(rand.NewPCG(3, 3))
	refused := 0
	for range often(400) {
		bad := slices.Clone(xml)
		switch at := rng.IntN(len(bad)); rng.IntN(3) {
		case 0:
			bad = bad[:at]
		case 1:
			bad = slices.Delete(bad, at, min(at+1+rng.IntN(40), len(bad)))
		case 2:
			bad = slices.Insert(bad, at, []byte("<>/x\x00\"&")[rng.IntN(7)])
		}
		got, err := decode(t, "v.xlsx", rezip(t, data, "xl/worksheets/sheet1.xml", bad), Options{})
		if err != nil {
			refused++
			continue
		}
		// Where damage is not seen it has changed a value, and no row is gone.
		assert.Equal(t, want.Counts().Read-want.Counts().Blank, got.Counts().Accepted+got.Counts().Rejected, "%q", bad)
	}
	assert.Greater(t, refused, often(200), "most damage must be seen")
}

// A proposal left as it is reads the same as no mapping at all.
func TestProposalReadsTheSame(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("testdata", "files", "*"))
	require.NoError(t, err)
	tried, step := 0, 10-often(8)/8*9 // everyday every tenth, in the long form each
	for i, path := range files {
		if i%step > 0 {
			continue
		}
		book, err := sheet.Open(path, sheet.Limits{})
		if err != nil {
			continue
		}
		proposal := layout.Propose(apart.Plain(book))
		m, err := mapping.Parse("map.toml", proposal.Text())
		require.NoError(t, err, "%s\n%s", path, proposal.Text())
		want, err := Read(t.Context(), path, Options{})
		if err != nil {
			continue
		}
		got, err := Read(t.Context(), path, Options{Mapping: m})
		if assert.NoError(t, err, "%s\n%s", path, proposal.Text()) {
			sameRecords(t, recordsOf(want), recordsOf(got), path)
			assert.Equal(t, want.Counts(), got.Counts(), path)
			tried++
		}
	}
	assert.Greater(t, tried, 60/step)
}

func TestCancelledReadingKeepsNothing(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	var text strings.Builder
	text.WriteString("case,status,course,tooth,axis,planned,achieved\n")
	for i := range 2100 { // progress is told of 1024 rows
		fmt.Fprintf(&text, "P%d,completed,1,43,rotation,-5,-4\n", i)
	}
	path := filepath.Join(t.TempDir(), "x.csv")
	require.NoError(t, os.WriteFile(path, []byte(text.String()), 0o600))
	b, err := Read(ctx, path, Options{Progress: func(int, int) { stop() }})
	assert.Nil(t, b)
	require.Error(t, err)
	assert.Equal(t, "file-stopped", Problems(err)[0].Rule)
	_, err = Read(ctx, path, Options{})
	assert.Equal(t, "file-stopped", Problems(err)[0].Rule)
}
