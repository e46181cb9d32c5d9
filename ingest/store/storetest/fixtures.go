package storetest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// FileOf names a file by content; the content is the name.
func FileOf(name string) casebook.File {
	sum := sha256.Sum256([]byte(name))
	return casebook.File{Name: name, SHA256: hex.EncodeToString(sum[:]), Size: int64(len(name))}
}

// original is a row of cells like a spreadsheet's.
func original(row int, texts ...string) casebook.Original {
	cells := make([]casebook.Cell, len(texts))
	for i, t := range texts {
		cells[i] = casebook.Cell{Ref: fmt.Sprintf("%c%d", 'A'+i, row), Header: fmt.Sprintf("header %d", i), Kept: fmt.Sprintf("header %d", i), Text: t}
	}
	return casebook.OriginalOf(cells)
}

func record[T any](v T, sheet string, row int, texts ...string) casebook.Record[T] {
	return casebook.Record[T]{Value: v, Source: casebook.Source{Sheet: sheet, Row: row}, Original: original(row, texts...)}
}

// Practice invents a batch: so many cases with two courses of so many teeth.
func Practice(name string, cases, teeth int) *casebook.Batch {
	rng := rand.New(rand.NewPCG(1, uint64(cases)))
	b := &casebook.Batch{File: FileOf(name)}
	row := 2
	for c := range cases {
		id := fmt.Sprintf("C-%05d", c)
		b.Cases = append(b.Cases, record(casebook.Case{
			ID: id, Practice: "P1", Clinician: "K2", AgeBand: casebook.Age18To29, Start: casebook.NewMonth(2024, 1+c%12),
			Status: casebook.Completed, PlannedAligners: casebook.Some(20 + c%30), Wear: casebook.WearGood,
		}, "cases", 2+c, id, "P1", "18-29"))
		for course := 1; course <= 2; course++ {
			b.Courses = append(b.Courses, record(casebook.Course{Case: casebook.CaseKey{ID: id}, Number: course}, "courses", 2*c+course+1, id))
			for tooth := range teeth {
				b.Movements = append(b.Movements, invented(rng, id, course, tooth, row))
				row++
			}
		}
	}
	b.Sheets = []casebook.SheetCounts{
		{Sheet: "cases", Kind: casebook.CaseKind, Counts: casebook.Counts{Read: cases, Accepted: cases}},
		{Sheet: "courses", Kind: casebook.CourseKind, Counts: casebook.Counts{Read: 2 * cases, Accepted: 2 * cases}},
		{Sheet: "movements", Kind: casebook.MovementKind, Counts: casebook.Counts{Read: row - 2, Accepted: row - 2}},
	}
	return b
}

func invented(rng *rand.Rand, id string, course, i, row int) casebook.Record[casebook.Movement] {
	tooth := casebook.AllTeeth()[i%32]
	axis := cycle(casebook.Axes(), i/casebook.ToothCount)
	planned := math.Round(rng.Float64()*100) / 10
	m := casebook.Movement{
		Case: casebook.CaseKey{ID: id}, Course: course, Tooth: tooth, Axis: axis, Planned: planned,
		Achieved: casebook.Some(planned * 0.6), Style: cycle(casebook.Styles(), i), Shape: casebook.Block,
		Lost: casebook.Some(i%7 == 0), Staging: casebook.Combined,
	}
	return record(m, "movements", row, id, fmt.Sprint(course), tooth.String(), axis.String(),
		fmt.Sprint(planned), fmt.Sprint(m.Achieved.Value), m.Style.String(), m.Shape.String(), "no", "combined")
}

// MustImport imports without choices.
func MustImport(t testing.TB, db store.Store, b *casebook.Batch) store.Outcome {
	t.Helper()
	out, err := db.Import(context.Background(), b, store.Choices{})
	require.NoError(t, err)
	return out
}

// MustLoad reads all records.
func MustLoad(t testing.TB, db store.Store) *casebook.Dataset {
	t.Helper()
	ds, err := db.Load(context.Background())
	require.NoError(t, err)
	return ds
}

func values[T any](records []casebook.Record[T]) []T {
	out := make([]T, len(records))
	for i, r := range records {
		out[i] = r.Value
	}
	return out
}

// Every gives a batch in which every field of every kind is set and every word
// of the vocabulary occurs, so that no column, word or check can be forgotten.
func Every() *casebook.Batch {
	b := &casebook.Batch{File: FileOf("every word"), Invented: true}
	for i := range max(casebook.AgeBandCount, casebook.StatusCount, casebook.WearCount) {
		b.Cases = append(b.Cases, record(casebook.Case{
			ID: fmt.Sprintf("Ü-%d", i), Practice: "P", Clinician: "K", AgeBand: cycle(casebook.AgeBands(), i),
			Start: casebook.NewMonth(2023, 12), End: casebook.NewMonth(2025, 1), Status: cycle(casebook.Statuses(), i),
			PlannedAligners: casebook.Some(i), ChangeDays: casebook.Some(7), Wear: cycle(casebook.Wears(), i),
			WearRecorded:      cycle(casebook.Timings(), i),
			StatedRefinements: casebook.Some(0), Own: casebook.Own{AgeBand: "40-49", Wear: "nächtlich", Status: casebook.OtherCategory},
		}, "cases", i+2, "a"))
	}
	for i := range 6 {
		b.Courses = append(b.Courses, record(casebook.Course{
			Case: everyCase, Number: i + 1, Start: casebook.NewMonth(2024, 1),
			AlignersPlanned: casebook.Some(0), AlignersUsed: casebook.Some(3), MeasuredBy: cycle(casebook.Methods(), i),
		}, "courses", i+2, "b"))
	}
	for _, tooth := range casebook.AllTeeth() {
		for _, axis := range casebook.Axes() {
			i := len(b.Movements)
			b.Movements = append(b.Movements, record(casebook.Movement{
				Case: everyCase, Course: 1, Tooth: tooth, Axis: axis, Planned: -1.25, Achieved: casebook.Some(0.0),
				StatedPercent: casebook.Some(62.5), SizeOnly: i%2 == 0, Style: cycle(casebook.Styles(), i),
				Shape: cycle(casebook.Shapes(), i), Orientation: cycle(casebook.Orientations(), i), SizeMM: casebook.Some(3.0),
				Lost: casebook.Some(i%2 == 1), LostMonth: casebook.Some(0), Staging: cycle(casebook.Stagings(), i),
				MeasuredBy: cycle(casebook.Methods(), i), Confirmed: cycle(casebook.Confirmations(), i),
			}, "movements", i+2, "1,25 mm", "", "0"))
		}
	}
	b.Repeats = append(b.Repeats, record(casebook.Repeat{
		Case: everyCase, Course: 1, Tooth: 11, Axis: casebook.Tip, First: 1.5, Second: -0.5,
	}, "repeats", 2, "1,5", "-0,5"))
	return b
}

var everyCase = casebook.CaseKey{Practice: "P", ID: "Ü-0"}

func cycle[T any](all []T, i int) T { return all[i%len(all)] }
