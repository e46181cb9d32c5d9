package sqlstore

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"shortfall/ingest/casebook"
)

// summed are the movements that sums are of, with the amounts along the plan (p, a), the
// tolerance in hundredths (t), and as 0 and 1 whether a refinement's and whether planned
// in the positive direction. Its arguments are those of SumsArgs. What postgres_fdw cannot
// send to a server, such as coalesce, is not in it.
const summed = `SELECT m.case_id, m.practice, m.tooth, m.axis, m.style,
		CASE WHEN m.course > 1 THEN 1 ELSE 0 END AS again, CASE WHEN m.planned > 0 THEN 1 ELSE 0 END AS positive,
		abs(m.planned) AS p, CASE WHEN m.planned > 0 THEN m.achieved ELSE -m.achieved END AS a,
		CASE m.unit WHEN 'mm' THEN CAST(?1 AS DOUBLE PRECISION) ELSE CAST(?2 AS DOUBLE PRECISION) END AS t
	FROM movements m LEFT JOIN courses k ON k.case_id = m.case_id AND k.practice = m.practice AND k.course = m.course
	WHERE m.achieved IS NOT NULL AND m.planned <> 0 AND abs(m.planned) >= CASE m.unit WHEN 'mm' THEN CAST(?3 AS DOUBLE PRECISION) ELSE CAST(?4 AS DOUBLE PRECISION) END
		AND (k.aligners_planned IS NULL OR k.aligners_used IS NULL OR k.aligners_planned = 0 OR k.aligners_used >= CAST(?5 AS DOUBLE PRECISION) * k.aligners_planned)`

// SumsStatement gives the sums of each case, for each tooth or over all. A case lies with
// one server, so that of several each sums up its own.
func SumsStatement(allTeeth bool) string {
	tooth, group := "tooth", "tooth, "
	if allTeeth {
		tooth, group = "0", ""
	}
	return `SELECT case_id, practice, ` + groupNumber(tooth) + `, CAST(count(*) AS INTEGER), sum(p), sum(a), sum(abs(a - p)), sum(abs(p - a) / p), sum(p * a), sum(p * p),
	CAST(sum(CASE WHEN ` + beyond("p") + ` THEN 1 ELSE 0 END) AS INTEGER),
	CAST(sum(CASE WHEN ` + beyond("p") + ` AND ` + beyond("abs(a - p)") + ` THEN 1 ELSE 0 END) AS INTEGER),
	CAST(sum(CASE WHEN NOT ` + beyond("p") + ` AND ` + beyond("abs(a - p)") + ` THEN 1 ELSE 0 END) AS INTEGER)
	FROM (` + summed + `) AS s GROUP BY case_id, practice, again, ` + group + `axis, positive, style`
}

// groupNumber says in one number what a sum is of, as codes of narrow.go: the rest of what
// travels for it are sums.
func groupNumber(tooth string) string {
	return fmt.Sprintf("((((%s) * 2 + again) * 2 + positive) * %d + (%s)) * %[2]d + (%[4]s)", tooth, 1<<codeBits, axisWords.coded("axis"), styleWords.coded("style"))
}

// ofGroup reads groupNumber.
func ofGroup(n int64, s *casebook.Sum) error {
	next := func(below int64) int64 {
		part := n % below
		n /= below
		return part
	}
	style, axis := next(1<<codeBits), next(1<<codeBits)
	if style == 1 || axis < firstCode {
		return errors.New("a sum is of a word that is not in the vocabulary")
	}
	positive, again := next(2), next(2)
	s.Axis, s.Style = casebook.Axis(axis-firstCode), casebook.Style(max(style-firstCode, 0))
	s.Direction, s.Again, s.Tooth = casebook.DirectionOf(s.Axis, float64(2*positive-1)), again == 1, casebook.Tooth(n)
	return nil
}

// beyond compares an amount with the tolerance in hundredths, as amounts stand in a
// sheet: half away from zero, what lies within rounding of a half being one.
func beyond(amount string) string { return "floor(" + amount + " * 100.0000000001 + 0.5) > t" }

// quartilesStatement interpolates between the two movements around each quartile.
const quartilesStatement = `SELECT again, axis, positive, max(n),
	sum(CASE i - 1 - (n - 1) / 4 WHEN 0 THEN r * (4 - (n - 1) % 4) WHEN 1 THEN r * ((n - 1) % 4) ELSE 0 END) / 4.0,
	sum(CASE i - 1 - 2 * (n - 1) / 4 WHEN 0 THEN r * (4 - 2 * (n - 1) % 4) WHEN 1 THEN r * (2 * (n - 1) % 4) ELSE 0 END) / 4.0,
	sum(CASE i - 1 - 3 * (n - 1) / 4 WHEN 0 THEN r * (4 - 3 * (n - 1) % 4) WHEN 1 THEN r * (3 * (n - 1) % 4) ELSE 0 END) / 4.0
	FROM (SELECT again, axis, positive, a / p AS r, count(*) OVER (PARTITION BY again, axis, positive) AS n,
		row_number() OVER (PARTITION BY again, axis, positive ORDER BY a / p) AS i FROM (` + summed + `) AS s
		WHERE NOT EXISTS (SELECT 1 FROM removed x WHERE x.case_id = s.case_id AND x.practice = s.practice)) AS q
	GROUP BY again, axis, positive`

// Sums sums the movements up where they lie, case by case, in key order; cases taken out
// of the audit are left out.
func (db *Records) Sums(ctx context.Context, of casebook.SumsOf) (*casebook.Sums, error) {
	tx, err := db.Read(ctx)
	if err != nil {
		return nil, db.Wrap(err)
	}
	defer tx.Rollback()
	out := &casebook.Sums{}
	if out.Cases, err = sums(ctx, tx, of); err != nil {
		return nil, db.Wrap(err)
	}
	out.Quartiles, err = quartiles(ctx, tx, of)
	return out, db.Wrap(err)
}

// SumsArgs are the arguments of SumsStatement.
func SumsArgs(of casebook.SumsOf) []any {
	hundredths := func(tolerance float64) float64 { return math.Floor(tolerance*100.0000000001 + 0.5) }
	return []any{hundredths(of.ToleranceMM), hundredths(of.ToleranceDeg), of.SmallestMM, of.SmallestDeg, of.MinAlignersUsed}
}

func sums(ctx context.Context, tx *Tx, of casebook.SumsOf) (list []casebook.Sum, err error) {
	removed, err := removedCases(ctx, tx)
	if err != nil {
		return nil, err
	}
	err = each(ctx, tx, SumsStatement(of.AllTeeth), func(scan scanner) error {
		var s casebook.Sum
		var of int64
		err := scan(&s.Case.ID, &s.Case.Practice, &of, &s.Movements,
			&s.Planned, &s.Achieved, &s.Error, &s.Miss, &s.Product, &s.Square, &s.Judged, &s.Outside, &s.SmallOutside)
		if _, out := removed[s.Case]; out || err != nil {
			return err
		}
		err = ofGroup(of, &s)
		list = append(list, s)
		return err
	}, SumsArgs(of)...)
	slices.SortFunc(list, func(a, b casebook.Sum) int {
		return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(number(a.Again), number(b.Again)), cmp.Compare(a.Tooth, b.Tooth),
			cmp.Compare(a.Direction, b.Direction), cmp.Compare(a.Style, b.Style))
	})
	return list, err
}

func quartiles(ctx context.Context, tx *Tx, of casebook.SumsOf) (list []casebook.Quartiles, err error) {
	err = each(ctx, tx, quartilesStatement, func(scan scanner) error {
		var q casebook.Quartiles
		var g group
		err := scan(&g.again, &g.axis, &g.positive, &q.Movements, &q.Lower, &q.Median, &q.Upper)
		q.Again, q.Axis, q.Direction = g.again != 0, axisWords[g.axis], g.direction()
		list = append(list, q)
		return err
	}, SumsArgs(of)...)
	slices.SortFunc(list, func(a, b casebook.Quartiles) int {
		return cmp.Or(cmp.Compare(number(a.Again), number(b.Again)), cmp.Compare(a.Direction, b.Direction))
	})
	return list, err
}

// group is what sums are grouped by, as the database has it.
type group struct {
	again, positive int
	axis            string
}

func (g *group) direction() casebook.Direction {
	return casebook.DirectionOf(axisWords[g.axis], float64(2*g.positive-1))
}

func number(is bool) int {
	if is {
		return 1
	}
	return 0
}
