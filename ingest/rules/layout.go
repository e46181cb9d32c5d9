package rules

import "shortfall/ingest/casebook"

// Rules about where the tables are and what their columns mean.
const (
	LayoutUnknown    ID = "layout-unknown"
	NothingRead      ID = "nothing-read"
	SheetSkipped     ID = "sheet-skipped"
	TablesSeveral    ID = "tables-several"
	ColumnMissing    ID = "column-missing"
	ColumnAmbiguous  ID = "column-ambiguous"
	ColumnAssumed    ID = "column-assumed"
	ColumnUnread     ID = "column-unread"
	LayoutAssumed    ID = "layout-assumed"
	WordsRead        ID = casebook.WordsRead
	CourseAssumed    ID = "course-assumed"
	NotationAsk      ID = "notation-ask"
	NotationAssumed  ID = "notation-assumed"
	SizeOnly         ID = "size-only"
	PercentOnly      ID = "percent-only"
	MappingUnmatched ID = "mapping-unmatched"
	QuestionOpen     ID = "question-open"
	QuestionAnswered ID = "question-answered"
	AnswerUnused     ID = "answer-unused"
	StyleNotFound    ID = "style-not-found"
)

var layoutRules = []Rule{
	{
		ID: LayoutUnknown, Severity: casebook.Error, Title: "No table of records was found",
		Text:   "No sheet has a header row in which enough columns are recognised.",
		Remedy: "Name the columns as in the template, or say by their headers what they hold, with --answer \"column tooth=HEADER\" and so for case, axis, planned, achieved and what else there is; or describe them in a mapping file (shortfall map)",
	},
	{
		ID: NothingRead, Severity: casebook.Error, Title: "Nothing could be read",
		Text:   "A table was found and none of its rows gave a record: it is empty, or every row lacks what a record needs.",
		Remedy: "Fill the rows, or correct what they all lack; shortfall map shows how the columns are read",
	},
	{
		ID: SheetSkipped, Severity: casebook.Warning, Title: "A sheet was not read",
		Text:   "The sheet holds cells but no table of records that is recognised.",
		Remedy: "Nothing to do, if it holds no records; else describe it in a mapping file",
	},
	{
		ID: TablesSeveral, Severity: casebook.Error, Title: "A sheet holds several tables",
		Text:   "A second header below the first, or the same columns twice side by side, shows that the sheet holds more than one table. Rows of one could be read as rows of the other.",
		Remedy: "Move each table to a sheet of its own",
	},
	{
		ID: ColumnMissing, Severity: casebook.Error, Title: "A required column is missing",
		Text:   "A record of this kind cannot be read without the column.",
		Remedy: "Add the column, or say which one it is with --answer \"column NAME=HEADER\" or in a mapping file",
	},
	{
		ID: ColumnAmbiguous, Severity: casebook.Error, Title: "A column can be read in more than one way",
		Text:   "Two columns claim the same field, or one header fits two fields. Nothing is guessed.",
		Remedy: "Rename one of them, or say which is meant in a mapping file",
	},
	{
		ID: ColumnAssumed, Severity: casebook.Info, Title: "A column was recognised by a synonym",
		Text:   "The header is not the template's, but is a usual name of the field and of no other.",
		Remedy: "Check the assumption; a mapping file makes it explicit",
	},
	{
		ID: ColumnUnread, Severity: casebook.Info, Title: "A column was not read",
		Text:   "No field has this header. Nothing of its cells is kept, and they take no part in the audit.",
		Remedy: "Nothing to do, if it holds no field of the audit; else say which, with --answer \"column FIELD=HEADER\" or in a mapping file",
	},
	{
		ID: LayoutAssumed, Severity: casebook.Info, Title: "A layout was recognised",
		Text:   "The sheet is not laid out as the template; what was recognised is said here.",
		Remedy: "Check the assumption; a mapping file makes it explicit",
	},
	{
		ID: WordsRead, Severity: casebook.Info, Title: "Words of the sheet were read as ours",
		Text:   "The sheet names attachments in its own words. They are kept beside ours, and printed in the report, where they are words of the trade: any other could be a name.",
		Remedy: "Check them; a mapping file says what a word means",
	},
	{
		ID: CourseAssumed, Severity: casebook.Warning, Title: "All rows were taken as the initial course",
		Text:   "The sheet has no column for the course, so every movement was taken to belong to the initial course.",
		Remedy: "Add a column for the course, or declare the course in a mapping file",
	},
	{
		ID: NotationAsk, Severity: casebook.Error, Title: "The tooth notation cannot be decided",
		Text:   "Every tooth of the file is a valid number in two notations: 11-18, 21-28, 31 and 32 mean different teeth in FDI and Universal notation. One notation is used for a whole file and it is never guessed.",
		Remedy: "Give the notation: --notation fdi, --notation universal or --notation palmer, or notation in the mapping file",
	},
	{
		ID: NotationAssumed, Severity: casebook.Info, Title: "The tooth notation was decided by evidence",
		Text:   "Some teeth of the file are valid in one notation only, so the whole file is read in it.",
		Remedy: "Check the assumption",
	},
	{
		ID: SizeOnly, Severity: casebook.Warning, Title: "Amounts seem to carry no direction",
		Text:   "No planned amount of the table is negative and no column gives directions, so the amounts are taken as positive. Extrusion and intrusion, for example, cannot be told apart in such a file.",
		Remedy: "Record signs or directions, or declare amounts = \"sizes\" or \"signed\" in a mapping file",
	},
	{
		ID: PercentOnly, Severity: casebook.Warning, Title: "Only percentages, no achieved amounts",
		Text: "A percentage that the practice computed cannot be checked, and nobody can tell how it treats overshoot or small plans. " +
			"It is kept beside the planned amount and never taken for a measured outcome; the audit shows what such percentages add up to in a table of their own.",
		Remedy: "Add a column of achieved amounts in mm or degrees",
	},
	{
		ID: MappingUnmatched, Severity: casebook.Error, Title: "The mapping names something the file lacks",
		Text:   "A sheet or a column named in the mapping file is not in this file.",
		Remedy: "Correct the name in the mapping file",
	},
	{
		ID: QuestionOpen, Severity: casebook.Error, Title: "The file leaves something open",
		Text:   "What the sheets leave open is asked and never assumed: one question for each open point, with its choices. The file is read once it is answered.",
		Remedy: "Answer with --answer, or under [answers] in a mapping file",
	},
	{
		ID: QuestionAnswered, Severity: casebook.Info, Title: "A question was answered",
		Text:   "The sheets leave the point open; it was read as answered.",
		Remedy: "Check the answer",
	},
	{
		ID: AnswerUnused, Severity: casebook.Warning, Title: "An answer was not needed",
		Text:   "An answer was given to a question that this file does not ask. The name may be mistyped, or the file has changed.",
		Remedy: "Check the name of the question, or leave the answer out",
	},
	{
		ID: StyleNotFound, Severity: casebook.Warning, Title: "No attachment style was found",
		Text:   "No column says who designed the attachments, or none of its cells could be read, so every comparison of styles will be empty.",
		Remedy: "If a column holds the style, say so with --answer \"column style=HEADER\" or in a mapping file (shortfall map); its words are none, software-suggested and clinician-designed. What the colour of a cell says is not read: write it into a column",
	},
}
