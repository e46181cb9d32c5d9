package storetest

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// clinic is a file of one practice, which may be unnamed, with cases that every
// practice of these tests numbers alike.
func clinic(file, practice string, planned float64, ids ...string) *casebook.Batch {
	b := &casebook.Batch{File: FileOf(file)}
	for i, id := range ids {
		k := casebook.CaseKey{Practice: practice, ID: id}
		b.Cases = append(b.Cases, record(casebook.Case{ID: id, Practice: practice, Status: casebook.Completed}, "cases", i+2, id))
		b.Courses = append(b.Courses, record(casebook.Course{Case: k, Number: 1}, "courses", i+2, id))
		b.Movements = append(b.Movements, record(casebook.Movement{
			Case: k, Course: 1, Tooth: 11, Axis: casebook.Tip, Planned: planned + float64(i),
		}, "movements", i+2, id))
		b.Repeats = append(b.Repeats, record(casebook.Repeat{Case: k, Course: 1, Tooth: 11, Axis: casebook.Tip, First: planned}, "repeats", i+2, id))
	}
	return b
}

func (im Implementation) testTwoPracticesWithTheSamePseudonyms(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, clinic("a", "A", 1, "C-1", "C-2"))
	out := MustImport(t, db, clinic("b", "B", 5, "C-1", "C-2"))
	assert.Equal(t, store.Tally{New: 8}, out.Total())
	ds := MustLoad(t, db)
	require.Len(t, ds.Cases, 4)
	require.Len(t, ds.Courses, 4)
	require.Len(t, ds.Movements, 4)
	require.Len(t, ds.Repeats, 4)
	assert.Equal(t, casebook.CaseKey{Practice: "B", ID: "C-1"}, ds.Movements[1].Case)
	assert.Equal(t, 5.0, ds.Movements[1].Planned)
	assert.Equal(t, 1.0, ds.Movements[0].Planned)
	keys, err := db.Cases(context.Background())
	require.NoError(t, err)
	assert.Len(t, keys, 4)
}

func (im Implementation) testWhichPractice(t *testing.T) {
	type files []*casebook.Batch
	for name, c := range map[string]struct {
		before files
		file   *casebook.Batch
		choice store.Choices
		want   string // of C-1, "?" where it is asked
	}{
		"empty database":                    {nil, clinic("x", "", 1, "C-1"), store.Choices{}, ""},
		"empty database, chosen":            {nil, clinic("x", "", 1, "C-1"), store.Choices{Practice: "A"}, "A"},
		"own word beats the choice":         {nil, clinic("x", "B", 1, "C-1"), store.Choices{Practice: "A"}, "B"},
		"told by a file beside it":          {nil, clinic("x", "", 1, "C-1"), store.Choices{Practice: "Z", Beside: []casebook.CaseKey{{Practice: "A", ID: "C-1"}}}, "A"},
		"told twice by files beside it":     {nil, clinic("x", "", 1, "C-1"), store.Choices{Beside: []casebook.CaseKey{{Practice: "A", ID: "C-1"}, {Practice: "B", ID: "C-1"}}}, "?"},
		"the only one that holds it":        {files{clinic("a", "A", 1, "C-1"), clinic("b", "B", 9, "C-2")}, clinic("x", "", 1, "C-1"), store.Choices{}, "A"},
		"two hold it":                       {files{clinic("a", "A", 1, "C-1"), clinic("b", "B", 9, "C-1")}, clinic("x", "", 1, "C-1"), store.Choices{}, "?"},
		"two hold it, chosen":               {files{clinic("a", "A", 1, "C-1"), clinic("b", "B", 9, "C-1")}, clinic("x", "", 9, "C-1"), store.Choices{Practice: "B"}, "B"},
		"new to a database with a name":     {files{clinic("a", "A", 1, "C-2")}, clinic("x", "", 1, "C-1"), store.Choices{}, "?"},
		"new to a database without a name":  {files{clinic("a", "", 1, "C-2")}, clinic("x", "", 1, "C-1"), store.Choices{}, ""},
		"the file names one for its others": {nil, joined(clinic("x", "", 1, "C-1"), clinic("x", "A", 1, "C-2")), store.Choices{}, "A"},
		"the file names two":                {nil, joined(clinic("x", "", 1, "C-1"), clinic("x", "A", 1, "C-2"), clinic("x", "B", 2, "C-3")), store.Choices{}, "?"},
	} {
		if im.Dear && c.before == nil && name != "empty database" {
			continue // told by the file and what is chosen, whatever the database
		}
		t.Run(name, func(t *testing.T) {
			db := im.Create(t)
			for _, b := range c.before {
				MustImport(t, db, b)
			}
			held := len(MustLoad(t, db).Movements)
			_, err := db.Import(context.Background(), c.file, c.choice)
			if c.want == "?" {
				require.ErrorIs(t, err, store.ErrPracticeOpen)
				assert.ErrorContains(t, err, "sheet cases, row 2")
				assert.ErrorContains(t, err, "--practice")
				assert.NotContains(t, err.Error(), "C-1", "a pseudonym is not repeated")
				assert.Len(t, MustLoad(t, db).Movements, held)
				return
			}
			require.NoError(t, err)
			list, err := db.Current(context.Background(), casebook.CaseKey{Practice: c.want, ID: "C-1"})
			require.NoError(t, err)
			assert.Len(t, list, 4, "case, course, movement and repeat")
		})
	}
}

func joined(b *casebook.Batch, more ...*casebook.Batch) *casebook.Batch {
	for _, m := range more {
		b.Cases, b.Courses = append(b.Cases, m.Cases...), append(b.Courses, m.Courses...)
		b.Movements, b.Repeats = append(b.Movements, m.Movements...), append(b.Repeats, m.Repeats...)
	}
	return b
}
