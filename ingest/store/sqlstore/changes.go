package sqlstore

// Change brings the schema of a database one version on: the same statement in every
// engine, or one for each where they do not understand the same.
type Change struct {
	// Number is the version that it brings a file of store/sqlite to. Numbers follow
	// those of the scripts there; a server counts the changes.
	Number   int
	Both     string
	SQLite   string // instead of Both
	Postgres string // instead of Both
}

// Changes are what came after the first schema that all engines share, in order. None is
// ever altered: databases have made it.
func Changes() []Change { return changes }

// A new column: {Number: 12, Both: "ALTER TABLE cases ADD COLUMN ..."}.
var changes = []Change{
	{Number: 11, Both: "ALTER TABLE movements ADD COLUMN confirmed TEXT CHECK (confirmed = 'as measured')"},
}

// OfSQLite is the statement for a file.
func (c Change) OfSQLite() string { return either(c.SQLite, c.Both) }

// OfPostgres is the statement for a server.
func (c Change) OfPostgres() string { return either(c.Postgres, c.Both) }

func either(own, shared string) string {
	if own != "" {
		return own
	}
	return shared
}
