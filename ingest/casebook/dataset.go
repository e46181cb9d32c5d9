package casebook

// Dataset is what an audit reads: the current records of a database, in key
// order, and the history of how they got there.
type Dataset struct {
	Cases     []Case
	Courses   []Course
	Movements []Movement
	Repeats   []Repeat
	Files     []ImportedFile
	// Rejected counts the rejected rows of files without a later version.
	Rejected []RejectedCount
	// RefusedAlone counts the movements that were refused in rows that are kept, of files
	// without a later version.
	RefusedAlone int
	// Words are the sheets' own beside those they were read as, of files without a later
	// version, the commonest first within a column.
	Words []WordRead
	// Superseded counts records of files without a later version that another
	// file corrected.
	Superseded int
	// Unchanged counts records that a file repeated as they already stood.
	Unchanged int
	// Invented is true where any file declared itself invented (demo) data.
	Invented bool
}

// ImportedFile is one file of the database with its row counts.
type ImportedFile struct {
	File
	Sheets   []SheetCounts `json:"sheets"`
	Invented bool          `json:"invented"`
	// LaterVersion is the SHA-256 of a file that gave most of this one's
	// records again, so that rows are counted there and not here.
	LaterVersion string `json:"later_version,omitempty"`
}

// Counts sums the sheets.
func (f ImportedFile) Counts() (c Counts) {
	for _, s := range f.Sheets {
		c = c.Add(s.Counts)
	}
	return c
}

// RejectedCount counts rejected rows by kind and by their first reason.
type RejectedCount struct {
	Kind Kind   `json:"kind"`
	Rule string `json:"rule"`
	Rows int    `json:"rows"`
}
