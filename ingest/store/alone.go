package store

import (
	"cmp"
	"slices"

	"shortfall/ingest/casebook"
)

// Alone gives the records that an empty database would hold after the import of a batch,
// in the order of Store.Load, as Decide has them; the batch is changed as by Decide.
func Alone(b *casebook.Batch, c Choices) (*casebook.Dataset, error) {
	p, err := Decide(b, &Known{Path: b.File.Name}, c)
	if err != nil {
		return nil, err
	}
	return &casebook.Dataset{
		Invented: b.Invented,
		Cases:    added(b.Cases, p.Cases.Add, casebook.Case.Key, casebook.CaseKey.Compare),
		Courses: added(b.Courses, p.Courses.Add, casebook.Course.Key, func(a, b casebook.CourseKey) int {
			return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(a.Number, b.Number))
		}),
		Movements: added(b.Movements, p.Movements.Add, casebook.Movement.Key, compareMovements),
		Repeats:   added(b.Repeats, p.Repeats.Add, casebook.Repeat.Key, compareMovements),
	}, nil
}

// compareMovements orders movements and repeats as Load does.
func compareMovements(a, b casebook.MovementKey) int {
	return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(a.Course, b.Course), cmp.Compare(a.Tooth, b.Tooth), cmp.Compare(a.Axis, b.Axis))
}

// added are the values of the records that are new, in the order of their keys.
func added[T, K any](records []casebook.Record[T], add []int, key func(T) K, compare func(a, b K) int) []T {
	order := slices.SortedFunc(slices.Values(add), func(i, j int) int { return compare(key(records[i].Value), key(records[j].Value)) })
	var out []T
	for _, i := range order {
		out = append(out, records[i].Value)
	}
	return out
}
