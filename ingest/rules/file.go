package rules

import "shortfall/ingest/casebook"

// Rules about the file as a whole and about the way its sheets are stored.
const (
	FileUnreadable  ID = "file-unreadable"
	FileEmpty       ID = "file-empty"
	FileKind        ID = "file-kind"
	FilePassword    ID = "file-password"
	FileDamaged     ID = "file-damaged"
	FileTooLarge    ID = "file-too-large"
	FileStopped     ID = "file-stopped"
	FileMacros      ID = "file-macros"
	FileLinks       ID = "file-links"
	FileUnchecked   ID = "file-unchecked"
	TextEncoding    ID = "text-encoding"
	TextQuotes      ID = "text-quotes"
	TextSeparator   ID = "text-separator"
	SheetDamaged    ID = "sheet-damaged"
	SheetHidden     ID = "sheet-hidden"
	RowHidden       ID = "row-hidden"
	ColumnHidden    ID = "column-hidden"
	CellMerged      ID = "cell-merged"
	CellError       ID = "cell-error"
	FormulaNoValue  ID = "formula-no-value"
	FormulaLikeText ID = "formula-like-text"
)

var fileRules = []Rule{
	{
		ID: FileUnreadable, Severity: casebook.Error, Title: "The file cannot be opened",
		Text:   "The operating system refused to open or read the file.",
		Remedy: "Check the path and the permissions of the file",
	},
	{
		ID: FileEmpty, Severity: casebook.Error, Title: "The file holds nothing",
		Text:   "The file has no bytes, or no sheet with any row.",
		Remedy: "Save the spreadsheet again and check that it holds the records",
	},
	{
		ID: FileKind, Severity: casebook.Error, Title: "The file is of another kind",
		Text:   "The first bytes of the file say that it is not an .xlsx workbook or text with separators, whatever its name ends in.",
		Remedy: "Open it in the program that made it and save it as .xlsx or .csv",
	},
	{
		ID: FilePassword, Severity: casebook.Error, Title: "The workbook is protected by a password",
		Text:   "The whole workbook is encrypted, so nothing in it can be read. This program never asks for a password.",
		Remedy: "Open it with its password, remove the password and save a copy",
	},
	{
		ID: FileDamaged, Severity: casebook.Error, Title: "The workbook is damaged",
		Text:   "The zip container or one of its parts is cut off or malformed. Nothing was read from it, since a damaged workbook may lack rows without showing it.",
		Remedy: "Open it in a spreadsheet program, let it repair the file, check the rows and save a copy",
	},
	{
		ID: FileTooLarge, Severity: casebook.Error, Title: "The file is larger than the limits allow",
		Text:   "A limit on bytes, parts, compression ratio, rows, columns or cells was exceeded. The limits protect against files made to exhaust a machine.",
		Remedy: "Split the file, or delete the formatted but empty rows and columns, and save it again",
	},
	{
		ID: FileStopped, Severity: casebook.Error, Title: "Reading was stopped",
		Text:   "The time or the memory allowed for one file ran out, or the import was interrupted. Nothing of the file was kept.",
		Remedy: "Run it again, or split the file",
	},
	{
		ID: FileMacros, Severity: casebook.Warning, Title: "The workbook carries macros",
		Text:   "Macros are reported and never run.",
		Remedy: "Save the workbook without macros (.xlsx) if they are not expected",
	},
	{
		ID: FileLinks, Severity: casebook.Warning, Title: "The workbook links to other files",
		Text:   "Values that come from other workbooks are read as they were last saved; the links are never followed.",
		Remedy: "Check that the values are up to date, or paste them as values",
	},
	{
		ID: FileUnchecked, Severity: casebook.Warning, Title: "The workbook carries parts that were not checked",
		Text:   "A workbook can hold pictures, embedded files, copies of data behind pivot tables and parts of other programs. They are not read, so nobody looked in them for what identifies a person; nothing of them is kept.",
		Remedy: "If you send the file on, send a copy that pseudonymise made, or one saved as .csv",
	},
	{
		ID: TextEncoding, Severity: casebook.Warning, Title: "The text is not in UTF-8",
		Text:   "The text file is not valid UTF-8 and was read as Windows-1252, the usual alternative of Western spreadsheet programs, or as Windows-1250 where Polish letters stand within its words.",
		Remedy: "Check accented letters, or save the file as UTF-8",
	},
	{
		ID: TextQuotes, Severity: casebook.Error, Title: "A quotation mark is out of place",
		Text: "A quotation mark that stands inside a cell may belong to its text or be the end of a quoted cell, so the cells of the row cannot be told apart; " +
			"the row is rejected and the others are read. Where a quoted cell is not closed the end of the row is not known either, and nothing of the file is read.",
		Remedy: "Delete the quotation mark on that line, or double it and put the cell in quotation marks; saving the file from a spreadsheet program does that",
	},
	{
		ID: TextSeparator, Severity: casebook.Error, Title: "The separator of the cells cannot be found",
		Text:   "Comma, semicolon, tab and vertical bar were tried; none, or more than one, splits the lines evenly.",
		Remedy: "Save the file with one separator throughout, or put a first line such as sep=;",
	},
	{
		ID: SheetDamaged, Severity: casebook.Error, Title: "A sheet is damaged",
		Text:   "The sheet is cut off, malformed, or refers to texts or styles the workbook does not hold. Nothing was read from the file, since rows may be missing without showing it.",
		Remedy: "Open it in a spreadsheet program, let it repair the file, check the rows and save a copy",
	},
	{
		ID: SheetHidden, Severity: casebook.Warning, Title: "A sheet is hidden",
		Text:   "Hidden sheets are read like the others, so that nothing is lost.",
		Remedy: "Delete the sheet if it should not be read",
	},
	{
		ID: RowHidden, Severity: casebook.Warning, Title: "Rows are hidden",
		Text:   "Rows hidden by hand or by a filter are read like the others, so that nothing is lost.",
		Remedy: "Delete the rows if they should not be read",
	},
	{
		ID: ColumnHidden, Severity: casebook.Warning, Title: "Columns are hidden",
		Text:   "Hidden columns are read like the others, so that nothing is lost.",
		Remedy: "Delete the columns if they should not be read",
	},
	{
		ID: CellMerged, Severity: casebook.Warning, Title: "Cells are merged among the records",
		Text:   "A merged area shows one value for several cells; the value was taken for each of them.",
		Remedy: "Unmerge the cells and fill each with its value",
	},
	{
		ID: CellError, Severity: casebook.Error, Title: "A cell holds an error",
		Text:   "The spreadsheet shows an error such as #REF! or #N/A in place of a value.",
		Remedy: "Correct the formula, or write the value",
	},
	{
		ID: FormulaNoValue, Severity: casebook.Error, Title: "A formula was saved without its value",
		Text:   "The program that wrote the file did not store what the formula gives; formulas are never computed here.",
		Remedy: "Open the file in a spreadsheet program, let it calculate, and save it",
	},
	{
		ID: FormulaLikeText, Severity: casebook.Warning, Title: "A text looks like a formula",
		Text:   "The text begins with a character that a spreadsheet program may take for a formula. It is kept as text and made harmless in everything written.",
		Remedy: "Check where the text came from",
	},
}
