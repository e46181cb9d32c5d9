package sqlstore

import _ "embed" // of scripts

// Change brings the schema of a database one version on: the same statement in every
// engine, or one for each where they do not understand the same.
type Change struct {
	// Number is the version that it brings a file of store/sqlite to, 0 where it concerns
	// servers alone. Numbers follow those of the scripts there; a server counts the changes.
	Number   int
	Both     string
	SQLite   string // instead of Both
	Postgres string // instead of Both
	// Coordinator and Share are for the coordinator of a fleet and for each of its servers,
	// where those are not what OfPostgres says, of the tables over the partitions and of the
	// partitions (package fleet).
	Coordinator, Share string
}

// Changes are what came after the first schema that all engines share, in order. None is
// ever altered: databases have made it.
func Changes() []Change { return changes }

// What servers keep of the last audits; files have it beside them.
var (
	//go:embed servers/last.sql
	lastOfServer string
	//go:embed servers/last-coordinator.sql
	lastOfCoordinator string
	//go:embed servers/last-share.sql
	lastOfShare string
)

// A new column: {Number: 12, Both: "ALTER TABLE cases ADD COLUMN ..."}.
var changes = []Change{
	{Number: 11, Both: "ALTER TABLE movements ADD COLUMN confirmed TEXT CHECK (confirmed = 'as measured')"},
	{Postgres: lastOfServer, Coordinator: lastOfServer + lastOfCoordinator, Share: lastOfShare},
}

// OfSQLite is the statement for a file, "" where it has none.
func (c Change) OfSQLite() string { return either(c.SQLite, c.Both) }

// OfPostgres is the statement for a server, "" where it has none.
func (c Change) OfPostgres() string { return either(c.Postgres, c.Both) }

func either(own, shared string) string {
	if own != "" {
		return own
	}
	return shared
}
