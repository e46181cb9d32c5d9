package ingest

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
)

const benchRows = 200_000

// flatRows gives an invented flat sheet of n rows, 40 movements a case.
func flatRows(n int) [][]any {
	rows := [][]any{{
		"case", "practice", "clinician", "age band", "start month", "status", "course", "tooth", "axis",
		"planned", "achieved", "unit", "style", "shape",
	}}
	teeth, axes := casebook.AllTeeth(), casebook.Axes()
	for i := range n {
		axis, style := axes[i%6], casebook.Styles()[i%3]
		planned := float64(i%37-18)/10 + 0.05
		shape := any(nil)
		if style != casebook.StyleNone {
			shape = casebook.Shapes()[i%4].String()
		}
		rows = append(rows, []any{
			fmt.Sprintf("P%05d", i/40), "A", fmt.Sprint("C", i/40%4), casebook.AgeBands()[i/40%6].String(),
			fmt.Sprintf("2025-%02d", i/40%12+1), "completed", 1, int(teeth[(i/6)%32]), axis.String(),
			planned, planned * 0.7, axis.Unit().String(), style.String(), shape,
		})
	}
	return rows
}

func benchFile(b *testing.B, ext string) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "bench."+ext)
	if ext == "xlsx" {
		f := excelize.NewFile()
		w, err := f.NewStreamWriter("Sheet1")
		require.NoError(b, err)
		for i, r := range flatRows(benchRows) {
			require.NoError(b, w.SetRow("A"+strconv.Itoa(i+1), r))
		}
		require.NoError(b, w.Flush())
		require.NoError(b, f.SaveAs(path))
		return path
	}
	out, err := os.Create(path)
	require.NoError(b, err)
	w := csv.NewWriter(out)
	for _, r := range flatRows(benchRows) {
		text := make([]string, len(r))
		for i, v := range r {
			if v != nil {
				text[i] = fmt.Sprint(v)
			}
		}
		require.NoError(b, w.Write(text))
	}
	w.Flush()
	require.NoError(b, out.Close())
	return path
}

// BenchmarkWorkbook reads 200,000 rows and gives the ratio to excelize's own
// full read of the same file, which is what matters on a shared machine.
func BenchmarkWorkbook(b *testing.B) {
	path := benchFile(b, "xlsx")
	for b.Loop() {
		start := time.Now()
		f, err := excelize.OpenFile(path, excelize.Options{RawCellValue: true})
		require.NoError(b, err)
		rows, err := f.GetRows("Sheet1")
		require.NoError(b, err)
		require.Len(b, rows, benchRows+1)
		require.NoError(b, f.Close())
		rows = nil
		theirs := time.Since(start)
		runtime.GC()
		ours, peak := timed(b, path)
		b.ReportMetric(benchRows/ours.Seconds(), "rows/s")
		b.ReportMetric(ours.Seconds()/theirs.Seconds(), "ratio-to-excelize")
		b.ReportMetric(float64(peak>>20), "peak-MiB")
	}
}

// BenchmarkText reads the same rows as text.
func BenchmarkText(b *testing.B) {
	path := benchFile(b, "csv")
	for b.Loop() {
		ours, peak := timed(b, path)
		b.ReportMetric(benchRows/ours.Seconds(), "rows/s")
		b.ReportMetric(float64(peak>>20), "peak-MiB")
	}
}

// timed reads a file and watches the memory taken from the system.
func timed(b *testing.B, path string) (time.Duration, uint64) {
	b.Helper()
	ctx, stop := context.WithCancel(b.Context())
	peak := make(chan uint64)
	go func() {
		most, m := uint64(0), runtime.MemStats{}
		for {
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapInuse)
			select {
			case <-ctx.Done():
				peak <- most
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	start := time.Now()
	batch, err := Read(b.Context(), path, Options{})
	took := time.Since(start)
	require.NoError(b, err)
	require.Len(b, batch.Movements, benchRows)
	stop()
	return took, <-peak
}
