package fleet

import (
	"fmt"
	"slices"
	"strings"
)

// partition is a foreign table as the coordinator has it.
type partition struct {
	Table, Name, Server, Remote, Bound, Columns string
}

// partitionsOf writes columns and checks of a table as the view "about" of a server does, less
// what only the coordinator has.
const partitionsOf = `SELECT p.relname, t.relname, s.srvname, coalesce((SELECT substr(o, 12) FROM unnest(f.ftoptions) o WHERE o LIKE 'table_name=%'), ''),
	pg_get_expr(t.relpartbound, t.oid),
	(SELECT string_agg(a.attname || ' ' || format_type(a.atttypid, a.atttypmod) || CASE WHEN a.attnotnull THEN ' not null' ELSE '' END, ', ' ORDER BY a.attnum)
		FROM pg_attribute a WHERE a.attrelid = t.oid AND a.attnum > 0 AND NOT a.attisdropped)
	|| (SELECT coalesce(string_agg(pg_get_constraintdef(c.oid), ' ' ORDER BY pg_get_constraintdef(c.oid)), '')
		FROM pg_constraint c WHERE c.conrelid = t.oid AND c.contype = 'c')
	FROM pg_inherits i JOIN pg_class t ON t.oid = i.inhrelid JOIN pg_class p ON p.oid = i.inhparent
	JOIN pg_foreign_table f ON f.ftrelid = t.oid JOIN pg_foreign_server s ON s.oid = f.ftserver
	WHERE p.relnamespace = $1::regnamespace AND p.relname LIKE '%\_kept' ORDER BY p.relname, t.relname`

// partitions compares each with what its server should hold and does hold.
func (k *checking) partitions(shards []shard) {
	list := rows[partition](k, partitionsOf, k.schema)
	if k.err != nil {
		return
	}
	count, modulus := map[string]int{}, 0
	for _, s := range shards {
		modulus += len(s.Partitions)
	}
	for _, p := range list {
		count[p.Table]++
		kind := strings.TrimSuffix(p.Table, "_kept")
		var number int32
		fmt.Sscanf(strings.TrimPrefix(p.Name, kind+"_"), "%d", &number)
		at := slices.IndexFunc(shards, func(s shard) bool { return s.Server == p.Server })
		bound := fmt.Sprintf("FOR VALUES WITH (modulus %d, remainder %d)", modulus, number)
		switch {
		case at < 0 || !slices.Contains(shards[at].Partitions, number):
			k.note("partition "+p.Name, "it points to the server "+p.Server+", which should not hold it", "Compare with the table shards")
		case p.Bound != bound || p.Remote != p.Name:
			k.note("partition "+p.Name, "it is not the share that its name says", "Make the coordinator anew by its script")
		case shards[at].about != nil && !slices.Contains(shards[at].about.Tables, p.Name+": "+p.Columns):
			k.note("partition "+p.Name, "the server "+shards[at].Name+" has no such table with the same columns and rules", "Run the server's script, or restore the table there")
		}
	}
	for _, kind := range []string{"cases", "courses", "movements", "repeats"} {
		k.judge(count[kind+"_kept"] == modulus, fmt.Sprintf("%s: every one of %d partitions is there", kind, modulus),
			fmt.Sprintf("%d are", count[kind+"_kept"]), "Attach the partitions that are missing: rows that belong there are refused until then")
	}
}
