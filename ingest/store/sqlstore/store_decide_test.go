package sqlstore_test

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// givenCase is a case with a movement of each of the teeth 41 to 46, whose amounts are
// its own.
func givenCase(id string, own float64) (out []casebook.Movement) {
	for tooth := range 6 {
		m := casebook.Movement{Case: casebook.CaseKey{Practice: "P", ID: id}, Course: 1, Tooth: casebook.Tooth(41 + tooth), Axis: casebook.Rotation, Planned: own + float64(tooth)}
		m.Achieved = casebook.Some(own)
		out = append(out, m)
	}
	return out
}

func batchOf(sha string, cases ...[]casebook.Movement) *casebook.Batch {
	b := &casebook.Batch{File: casebook.File{Name: sha, SHA256: sha, Reading: "r"}}
	for _, ms := range cases {
		for _, m := range ms {
			b.Movements = append(b.Movements, casebook.Record[casebook.Movement]{Value: m})
		}
	}
	return b
}

// heldFrom is what a database holds after an import of the cases.
func heldFrom(cases ...[]casebook.Movement) *store.Known {
	k := &store.Known{Movements: map[casebook.MovementKey]store.Held[casebook.Movement]{}, Removed: map[casebook.CaseKey]bool{}, Erased: func(casebook.CaseKey) bool { return false }}
	for _, ms := range cases {
		for _, m := range ms {
			k.Movements[m.Key()] = store.Held[casebook.Movement]{Value: m, File: 1}
		}
	}
	k.Editions = []store.Edition{{ID: 1, SHA256: "first", Reading: "r", Name: "first", Records: len(k.Movements)}}
	return k
}

// Two cases that are set aside, absent, renamed or refused, and two movements that are
// retired, come in one order, however the maps that hold them are walked.
func TestDecisionsComeInOneOrder(t *testing.T) {
	var held, later [][]casebook.Movement
	for i, id := range []string{"A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "K", "L"} {
		held = append(held, givenCase(id, float64(10*(i+1))))
		if i < 8 { // each without its last movement
			later = append(later, held[i][:5])
		}
	}
	later = append(later, givenCase("X", 90), givenCase("Y", 100)) // I and J under other pseudonyms
	for range 20 {
		k := heldFrom(held...)
		k.Removed[held[0][0].Case], k.Removed[held[1][0].Case] = true, true
		p, err := store.Decide(batchOf("second", later...), k, store.Choices{Practice: "P"})
		require.NoError(t, err)
		o := p.Outcome
		require.Equal(t, "[A of practice P B of practice P]", fmt.Sprint(o.Aside))
		require.Equal(t, "[K of practice P L of practice P]", fmt.Sprint(o.Absent))
		require.Equal(t, "[{I of practice P X of practice P} {J of practice P Y of practice P}]", fmt.Sprint(o.Renamed))
		require.Len(t, p.Movements.Retire, 8+2*6)
		require.IsIncreasing(t, textsOf(p.Movements.Retire))

		_, err = store.Decide(batchOf("other", givenCase("X", 10), givenCase("Y", 20)), heldFrom(held...), store.Choices{Practice: "P"})
		var refused *store.Error
		require.ErrorAs(t, err, &refused)
		require.Equal(t, store.Twin, refused.Kind)
		require.Equal(t, "[X of practice P Y of practice P]", fmt.Sprint(refused.Cases))
	}
}

func textsOf(keys []casebook.MovementKey) (out []string) {
	for _, k := range keys {
		out = append(out, fmt.Sprint(k))
	}
	return out
}

// Nothing is decided of a file that stands already, whatever it now holds.
func TestTheSameFileIsDecidedOnce(t *testing.T) {
	p, err := store.Decide(batchOf("first", givenCase("A", 1)), heldFrom(givenCase("B", 2)), store.Choices{})
	require.NoError(t, err)
	assert.True(t, p.Already)
	assert.Empty(t, p.Movements.Add)
}

// narrow is what a database gives that is not read whole.
func narrow(k *store.Known) *store.Known {
	out := *k.Whole()
	out.Movements, out.Cases = map[casebook.MovementKey]store.Held[casebook.Movement]{}, map[casebook.CaseKey]store.Held[casebook.Case]{}
	out.Fetch = func(ids []string) error {
		for key, h := range k.Movements {
			if slices.Contains(ids, key.Case.ID) {
				out.Movements[key] = h
			}
		}
		for key, h := range k.Cases {
			if slices.Contains(ids, key.ID) {
				out.Cases[key] = h
			}
		}
		return nil
	}
	return &out
}

// anyKnown invents a database of several files, whose cases may be of two of them.
func anyKnown(rng *rand.Rand) *store.Known {
	k := heldFrom()
	k.Cases, k.Editions = map[casebook.CaseKey]store.Held[casebook.Case]{}, nil
	files := int64(1 + rng.IntN(3))
	records := map[int64]int{}
	for i := range 2 + rng.IntN(8) {
		file := 1 + rng.Int64N(files)
		ms := givenCase(fmt.Sprintf("C-%03d", i+1), float64(10*(1+rng.IntN(12))))
		if rng.IntN(3) > 0 {
			c := casebook.Case{Practice: "P", ID: ms[0].Case.ID, Clinician: []string{"", "K"}[rng.IntN(2)]}
			k.Cases[c.Key()] = store.Held[casebook.Case]{Value: c, File: file}
			records[file]++
		}
		for _, m := range ms[:rng.IntN(len(ms)+1)] {
			if rng.IntN(8) == 0 {
				file = 1 + rng.Int64N(files)
			}
			k.Movements[m.Key()] = store.Held[casebook.Movement]{Value: m, File: file}
			records[file]++
		}
	}
	for file := int64(1); file <= files; file++ {
		k.Editions = append(k.Editions, store.Edition{ID: file, SHA256: fmt.Sprint("file ", file), Reading: "r", Name: fmt.Sprint(file), Records: records[file]})
	}
	return k
}

// anyBatch invents a file of known cases, as they were, corrected or others of the code, and new ones, some of them
// known ones under another code.
func anyBatch(rng *rand.Rand, k *store.Known) *casebook.Batch {
	b := batchOf(fmt.Sprint("file ", rng.IntN(6)))
	b.File.Reading = "other"
	names, shift := map[string]string{}, map[string]float64{}
	keys := slices.SortedFunc(maps.Keys(k.Movements), func(a, b casebook.MovementKey) int { return cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
	for _, key := range keys {
		m := k.Movements[key].Value
		if _, named := names[m.Case.ID]; !named {
			names[m.Case.ID] = []string{m.Case.ID, m.Case.ID, m.Case.ID, "new " + m.Case.ID, strings.ReplaceAll(m.Case.ID, "-", ""), ""}[rng.IntN(6)]
			shift[names[m.Case.ID]] = []float64{0, 0, 0, 7}[rng.IntN(4)]
		}
		if m.Case.ID = names[m.Case.ID]; m.Case.ID == "" || rng.IntN(12) == 0 {
			continue
		}
		m.Planned += shift[m.Case.ID]
		if rng.IntN(15) == 0 {
			m.Achieved.Value++
		}
		if rng.IntN(3) == 0 {
			m.Case.Practice = ""
		}
		b.Movements = append(b.Movements, casebook.Record[casebook.Movement]{Value: m})
	}
	for i := range rng.IntN(3) {
		c := casebook.Case{Practice: "P", ID: fmt.Sprintf("C-%03d", 1+rng.IntN(12)), Clinician: fmt.Sprint("K", i)}
		b.Cases = append(b.Cases[:0], casebook.Record[casebook.Case]{Value: c})
	}
	return b
}

// A database that is read only as far as a decision asks decides as one that is read whole.
func TestNarrowKnowledgeDecidesAlike(t *testing.T) {
	kinds := map[string]int{}
	for seed := range uint64(500) {
		decide := func(of func(*store.Known) *store.Known) string {
			rng := rand.New(rand.NewPCG(seed, 1))
			k := anyKnown(rng)
			b := anyBatch(rng, k)
			c := store.Choices{Practice: "P", Whole: rng.IntN(3) == 0, Spelling: []string{"", store.SameSpelt, store.DifferentSpelt}[rng.IntN(3)]}
			if rng.IntN(3) == 0 {
				c.Correct, c.Distinct = []string{"C-001", "C-002"}, []string{"new C-003", "new C-004"}
			}
			p, err := store.Decide(b, of(k), c)
			var refused *store.Error
			if errors.As(err, &refused) {
				kinds[string(refused.Kind)]++
				return fmt.Sprint(err, refused.Cases)
			}
			require.NoError(t, err)
			kinds["retired"] += min(1, len(p.Movements.Retire))
			kinds["renamed"] += len(p.Outcome.Renamed)
			kinds["absent"] += len(p.Outcome.Absent)
			return fmt.Sprintf("%+v %+v %+v %+v %+v %+v", p.Cases, p.Movements, p.Again, p.Outcome, b.Movements, b.Cases)
		}
		require.Equal(t, decide(func(k *store.Known) *store.Known { return k }), decide(narrow), "seed %d", seed)
	}
	for _, kind := range []string{string(store.Twin), string(store.Clash), string(store.Spelling), "retired", "renamed", "absent"} {
		assert.Greater(t, kinds[kind], 10, kind)
	}
}

func TestStandingOfACase(t *testing.T) {
	ms := givenCase("A", 10)
	k := heldFrom(ms)
	k.Cases = map[casebook.CaseKey]store.Held[casebook.Case]{ms[0].Case: {File: 3}}
	k.Movements[ms[2].Key()] = store.Held[casebook.Movement]{Value: ms[2], File: 2}
	s := k.Whole().Standing[ms[0].Case]
	assert.ElementsMatch(t, []int64{1, 2, 3}, s.Files)
	assert.ElementsMatch(t, []int64{1, 2}, s.Moved)
	assert.Equal(t, 6, s.Movements)
}

// A case that a later version lacks and has under another code was renamed, unless
// another file knows of it too.
func TestRenamedOnlyWhereNoOtherFileKnows(t *testing.T) {
	a, b, c := givenCase("A", 10), givenCase("B", 20), givenCase("C", 30)
	for _, other := range []bool{false, true} {
		k := heldFrom(a, b, c)
		if other {
			k.Movements[c[5].Key()] = store.Held[casebook.Movement]{Value: c[5], File: 2}
			k.Editions = append(k.Editions, store.Edition{ID: 2, SHA256: "its own", Reading: "r", Name: "its own", Records: 1})
		}
		p, err := store.Decide(batchOf("later", a, b, givenCase("X", 30)), k, store.Choices{Practice: "P"})
		if other {
			require.ErrorIs(t, err, store.ErrTwin)
			continue
		}
		require.NoError(t, err)
		assert.Len(t, p.Outcome.Renamed, 1)
	}
}
