package sqlstore

import (
	"context"
	"fmt"

	"shortfall/ingest/store"
)

// RenamePractice moves all cases of a practice to another.
func (db *Records) RenamePractice(ctx context.Context, from, to string) (n int, err error) {
	err = db.write(ctx, func(tx *Tx) error {
		list, err := cases(ctx, tx)
		if err != nil {
			return err
		}
		there := map[string]bool{}
		for _, c := range list {
			if c.Practice == to {
				there[c.ID] = true
			}
		}
		both := 0
		for _, c := range list {
			if c.Practice == from {
				n++
				if there[c.ID] {
					both++
				}
			}
		}
		if n == 0 {
			return db.notThere("the database has no case of that practice", "practice")
		}
		if both > 0 {
			return &store.Error{
				Kind: store.Clash, Path: db.Path(), Message: fmt.Sprintf("the two practices have the same pseudonym %d times", both),
				Remedy: "Two patients would become one; give the practice a name of its own",
			}
		}
		for _, t := range []struct {
			name    string
			columns []string
		}{
			{caseTable.name, caseTable.every()},
			{courseTable.name, courseTable.every()},
			{movementTable.name, movementTable.every()},
			{repeatTable.name, repeatTable.every()},
		} {
			if err := tx.Move(ctx, tx, t.name, t.columns, from, to); err != nil {
				return err
			}
		}
		for _, t := range []string{"history", "removed", "erased"} {
			if err := (InPlace{}).Move(ctx, tx, t, nil, from, to); err != nil {
				return err
			}
		}
		_, err = tx.ExecContext(ctx, "UPDATE history SET value = "+tx.WithPractice("value", "practice")+" WHERE practice = ?", to)
		return err
	})
	return n, err
}
