package store

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
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
func heldFrom(cases ...[]casebook.Movement) *Known {
	k := &Known{Movements: map[casebook.MovementKey]Held[casebook.Movement]{}, Removed: map[casebook.CaseKey]bool{}, Erased: func(casebook.CaseKey) bool { return false }}
	for _, ms := range cases {
		for _, m := range ms {
			k.Movements[m.Key()] = Held[casebook.Movement]{Value: m, File: 1}
		}
	}
	k.Editions = []Edition{{ID: 1, SHA256: "first", Reading: "r", Name: "first", Records: len(k.Movements)}}
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
		p, err := Decide(batchOf("second", later...), k, Choices{Practice: "P"})
		require.NoError(t, err)
		o := p.Outcome
		require.Equal(t, "[A of practice P B of practice P]", fmt.Sprint(o.Aside))
		require.Equal(t, "[K of practice P L of practice P]", fmt.Sprint(o.Absent))
		require.Equal(t, "[{I of practice P X of practice P} {J of practice P Y of practice P}]", fmt.Sprint(o.Renamed))
		require.Len(t, p.Movements.Retire, 8+2*6)
		require.IsIncreasing(t, textsOf(p.Movements.Retire))

		_, err = Decide(batchOf("other", givenCase("X", 10), givenCase("Y", 20)), heldFrom(held...), Choices{Practice: "P"})
		var refused *Error
		require.ErrorAs(t, err, &refused)
		require.Equal(t, Twin, refused.Kind)
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
	p, err := Decide(batchOf("first", givenCase("A", 1)), heldFrom(givenCase("B", 2)), Choices{})
	require.NoError(t, err)
	assert.True(t, p.Already)
	assert.Empty(t, p.Movements.Add)
}
