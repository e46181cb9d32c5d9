package found

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// Kept says what became of the records of a file.
type Kept struct {
	Already bool
	Rows    []KeptRow
	Retired bool
	Later   []string
	Renamed []string
	Absent  []string
	Aside   []string
	Erased  int
	Refused int // of the movements that are no longer taken
}

// KeptRow is what became of those of one kind.
type KeptRow struct {
	Kind    string
	Refused int
	store.Tally
}

// Became is what became of the records of a file that was kept.
func Became(o store.Outcome) *Kept {
	v := &Kept{Already: o.Already, Erased: o.Erased, Refused: o.Refused}
	for _, k := range casebook.Kinds() {
		if t := o.Tallies[k]; t != (store.Tally{}) {
			row := KeptRow{Kind: k.String() + "s", Tally: t}
			if k == casebook.MovementKind {
				row.Refused = o.Refused
				row.Retired -= o.Refused
			}
			v.Rows = append(v.Rows, row)
			v.Retired = v.Retired || row.Retired > 0
		}
	}
	for _, f := range o.Earlier {
		v.Later = append(v.Later, f.Name)
	}
	for _, x := range o.Renamed {
		v.Renamed = append(v.Renamed, x.From.String()+" is now "+x.To.String())
	}
	v.Absent, v.Aside = Names(o.Absent), Names(o.Aside)
	return v
}

// Names of cases.
func Names(keys []casebook.CaseKey) (out []string) {
	for _, k := range keys {
		out = append(out, k.String())
	}
	return out
}
