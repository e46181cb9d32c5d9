package rules

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"shortfall/ingest/casebook"
)

// caseUnlisted speaks only where the file has a list of cases at all.
func caseUnlisted(v *view, report reporter) {
	if len(v.Cases) == 0 {
		return
	}
	for _, id := range v.order {
		if _, listed := v.cases[id]; listed {
			continue
		}
		n := len(v.courses[id]) + len(v.movements[id])
		report(v.firstRow(id), fmt.Sprintf("%d records name a case that the list of cases lacks", n))
	}
}

// firstRow is the first place a case appears outside the list of cases.
func (v *view) firstRow(id casebook.CaseKey) casebook.Source {
	if c := v.courses[id]; len(c) > 0 {
		return v.Courses[c[0]].Source
	}
	return v.Movements[v.movements[id][0]].Source
}

func endMissing(v *view, report reporter) {
	for _, c := range v.Cases {
		if c.Value.Status == casebook.Completed && c.Value.Start != 0 && c.Value.End == 0 {
			report(c.Source, "completed, without an end month")
		}
	}
}

// smallestTwin is the fewest movements two cases must share before they are
// reported: below it, equal amounts may well be chance.
const smallestTwin = 4

// contentOf is what movements say, the same for equal ones in any order.
func (v *view) contentOf(ms []int) [sha256.Size]byte {
	order := slices.Clone(ms)
	slices.SortFunc(order, func(a, b int) int {
		x, y := &v.Movements[a].Value, &v.Movements[b].Value
		return cmp.Or(cmp.Compare(x.Course, y.Course), cmp.Compare(x.Tooth, y.Tooth), cmp.Compare(x.Axis, y.Axis), cmp.Compare(x.Planned, y.Planned),
			cmp.Compare(x.Achieved.Value, y.Achieved.Value))
	})
	out := make([]byte, 0, 24*len(order))
	for _, at := range order {
		m := &v.Movements[at].Value
		out = binary.AppendUvarint(append(out, byte(m.Tooth), byte(m.Axis)), uint64(m.Course))
		out = binary.BigEndian.AppendUint64(out, math.Float64bits(m.Planned))
		out = binary.BigEndian.AppendUint64(out, math.Float64bits(m.Achieved.Value))
		if m.Achieved.OK {
			out = append(out, 1)
		} else {
			out = append(out, 0)
		}
	}
	return sha256.Sum256(out)
}

// caseTwice compares the movements of each case by content, the id left out.
func caseTwice(v *view, report reporter) {
	first := map[[sha256.Size]byte]casebook.CaseKey{}
	for _, id := range v.order {
		ms := v.movements[id]
		if len(ms) < smallestTwin {
			continue
		}
		key := v.contentOf(ms)
		twin, seen := first[key]
		if !seen {
			first[key] = id
			continue
		}
		at := v.Movements[v.movements[twin][0]].Source
		report(v.Movements[ms[0]].Source,
			fmt.Sprintf("all %d movements equal those of the case on sheet %s, row %d", len(ms), at.Sheet, at.Row))
	}
}
