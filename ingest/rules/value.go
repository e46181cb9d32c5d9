package rules

import "shortfall/ingest/casebook"

// Rules about single cells.
const (
	ValueMissing     ID = "value-missing"
	AchievedMissing  ID = "achieved-missing"
	ValueSentinel    ID = "value-sentinel"
	NumberUnreadable ID = "number-unreadable"
	NumberAmbiguous  ID = "number-ambiguous"
	NumberAsText     ID = "number-as-text"
	NumberAbout      ID = "number-about"
	CountUnreadable  ID = "count-unreadable"
	DateUnreadable   ID = "date-unreadable"
	DateAmbiguous    ID = "date-ambiguous"
	DateAsText       ID = "date-as-text"
	WordUnknown      ID = "word-unknown"
	ToothUnknown     ID = "tooth-unknown"
	ToothDate        ID = "tooth-date"
	AxisUnknown      ID = "axis-unknown"
	StyleUnknown     ID = "style-unknown"
	CourseUnknown    ID = "course-unknown"
	UnitUnknown      ID = "unit-unknown"
	UnitAgainstAxis  ID = "unit-axis"
	SignAgainstWord  ID = "sign-direction"
	AxisAgainstWord  ID = "axis-direction"
	AmountImpossible ID = "amount-impossible"
	AmountUnlikely   ID = "amount-unlikely"
	AmountDoubtful   ID = "amount-doubtful"
	PercentUnlikely  ID = "percent-unlikely"
	CodeUnreadable   ID = "code-unreadable"
	CodeTidied       ID = "code-tidied"
	CodeLettered     ID = "code-letters"
	PracticeOpen     ID = "practice-open"
)

var valueRules = []Rule{
	{
		ID: ValueMissing, Severity: casebook.Error, Title: "A required cell is blank",
		Text:   "The record cannot be identified or used without the value.",
		Remedy: "Fill the cell",
	},
	{
		ID: AchievedMissing, Severity: casebook.Error, Title: "Planned without achieved",
		Text:   "The case is completed, or its status is not known, and the achieved amount is blank. A blank cell does not say whether the outcome was not measured or was forgotten.",
		Remedy: "Write the achieved amount, or \"not measured\"",
	},
	{
		ID: ValueSentinel, Severity: casebook.Error, Title: "A number stands for a missing value",
		Text:   "Numbers such as 999 and -999 are often written for \"missing\". They are never taken as measurements and never silently as missing.",
		Remedy: "Write \"not measured\", or declare the code under [missing] in a mapping file",
	},
	{
		ID: NumberUnreadable, Severity: casebook.Error, Title: "A cell is not a number",
		Text:   "The field holds an amount, and the cell is not a number with an optional unit or direction.",
		Remedy: "Write a number",
	},
	{
		ID: NumberAmbiguous, Severity: casebook.Error, Title: "A number can be read in two ways",
		Text:   "One separator with three digits after it, such as 1,250, is one and a quarter or twelve hundred and fifty; nothing else in the file decides it.",
		Remedy: "Declare decimal = \",\" or \".\" in a mapping file, or store the cells as numbers",
	},
	{
		ID: NumberAbout, Severity: casebook.Info, Title: "Amounts are said to be about right",
		Text:   "A word or sign such as ca, about or ~ stands before the number, which was read without it.",
		Remedy: "Nothing to do, if they were measured",
	},
	{
		ID: NumberAsText, Severity: casebook.Info, Title: "Numbers are stored as text",
		Text:   "The workbook holds digits as text; they were read as numbers.",
		Remedy: "Nothing to do; converting the cells to numbers avoids the note",
	},
	{
		ID: CountUnreadable, Severity: casebook.Error, Title: "A cell is not a whole number",
		Text:   "The field holds a count, 0 or more.",
		Remedy: "Write a whole number, or leave the cell blank",
	},
	{
		ID: DateUnreadable, Severity: casebook.Error, Title: "A cell is not a month or a date",
		Text:   "Months are read from date cells and from texts such as 2025-03, 03/2025, Mar 2025, 15.3.2025 or 2025-03-15.",
		Remedy: "Write the month as YYYY-MM",
	},
	{
		ID: DateAmbiguous, Severity: casebook.Error, Title: "Day and month cannot be told apart",
		Text:   "A text date such as 03/04/2025 is in March or in April. It is refused until the order is declared, even where other dates of the file suggest one.",
		Remedy: "Declare dates = \"day first\" or \"month first\" in a mapping file, or write the month as YYYY-MM",
	},
	{
		ID: DateAsText, Severity: casebook.Info, Title: "Dates are stored as text",
		Text:   "The workbook holds dates as text; they were read as dates, of which the month is kept.",
		Remedy: "Nothing to do; converting the cells to dates, or to YYYY-MM, avoids the note",
	},
	{
		ID: WordUnknown, Severity: casebook.Error, Title: "A word is not one of those allowed",
		Text:   "The field takes one of a few words.",
		Remedy: "Use one of the words listed, or map the word under [words] in a mapping file",
	},
	{
		ID: ToothUnknown, Severity: casebook.Error, Title: "A tooth is not known",
		Text:   "The cell is no permanent tooth in the notation of the file.",
		Remedy: "Write a permanent tooth in the notation used throughout the file",
	},
	{
		ID: ToothDate, Severity: casebook.Error, Title: "A tooth was turned into a date",
		Text:   "A spreadsheet program has changed a tooth such as 1-3 into a date; which tooth was meant is not certain.",
		Remedy: "Format the column as text and write the tooth again",
	},
	{
		ID: AxisUnknown, Severity: casebook.Error, Title: "An axis is not known",
		Text:   "The movement is not one of the six axes or a usual name of one.",
		Remedy: "Use one of: vertical, rotation, mesiodistal tip, buccolingual torque, mesiodistal shift, buccolingual shift; or map the word under [words.axis] in a mapping file",
	},
	{
		ID: StyleUnknown, Severity: casebook.Error, Title: "A feature style is not known",
		Text:   "The style is not none, software-suggested or clinician-designed, or a plain word for one of them.",
		Remedy: "Write none, software-suggested or clinician-designed, or map the word under [words.style] in a mapping file",
	},
	{
		ID: CourseUnknown, Severity: casebook.Error, Title: "A course is not known",
		Text:   "Courses are numbered: 1 or \"initial\", then 2 or \"refinement 1\" and so on.",
		Remedy: "Write the number of the course",
	},
	{
		ID: UnitUnknown, Severity: casebook.Error, Title: "A unit is not known",
		Text:   "Movements are in millimetres (mm) or degrees (deg).",
		Remedy: "Write mm or deg",
	},
	{
		ID: UnitAgainstAxis, Severity: casebook.Error, Title: "The unit does not fit the axis",
		Text:   "Vertical movement and the two shifts are in millimetres; rotation, tip and torque are in degrees.",
		Remedy: "Correct the unit or the axis",
	},
	{
		ID: SignAgainstWord, Severity: casebook.Error, Title: "The sign contradicts the direction",
		Text:   "The amount has a sign and the row names a direction, and the two disagree under the sign convention.",
		Remedy: "Correct one of them; where the file uses the opposite signs, declare it under [positive] in a mapping file",
	},
	{
		ID: AxisAgainstWord, Severity: casebook.Error, Title: "The direction belongs to another axis",
		Text:   "The row names an axis and a direction that does not belong to it.",
		Remedy: "Correct one of them",
	},
	{
		ID: AmountImpossible, Severity: casebook.Error, Title: "An amount is impossible",
		Text:   "Beyond 25 mm or 180 degrees no tooth movement exists; the cell holds another quantity or a slip of the decimal point. (Own limits, set wide; no published source.)",
		Remedy: "Correct the amount",
	},
	{
		ID: AmountDoubtful, Severity: casebook.Warning, Title: "An amount can hardly be right",
		Text: "The achieved movement is more than 3 times the plan, or more than 2 times against it, or an amount is more than 10 times what this file usually plans for such a tooth: a misplaced decimal point or a sign the wrong way round looks like that, and one of them can hide every true difference. " +
			"On a terminal and on the page it is asked what they are. Where nobody answers, the amounts are kept, and this warning and the report name them; they are never left out for their size alone.",
		Remedy: "Compare the cell with the chart and correct it",
	},
	{
		ID: AmountUnlikely, Severity: casebook.Warning, Title: "An amount is implausibly large",
		Text:   "The amount exceeds what one course of aligners is planned for: 6 mm vertical, 10 mm mesiodistal, 8 mm buccolingual, 60 degrees of rotation, 40 degrees of tip or torque. (Own limits, from common practice; no published source.)",
		Remedy: "Check the amount, its decimal point and its unit; a waiver with a reason accepts it",
	},
	{
		ID: PercentUnlikely, Severity: casebook.Warning, Title: "A stated percentage is implausible",
		Text:   "The percentage lies outside -200 to 300 %. It is kept beside the measured amounts and never mixed with them.",
		Remedy: "Check the percentage",
	},
	{
		ID: CodeUnreadable, Severity: casebook.Error, Title: "A cell is no code",
		Text:   "Pseudonyms and codes are short texts or whole numbers; a date, or a text of more than 64 characters, is something else.",
		Remedy: "Write a code of at most 64 characters",
	},
	{
		ID: CodeTidied, Severity: casebook.Info, Title: "A code was written in another form",
		Text:   "Codes are compared without outer and repeated spaces, invisible characters and full-width or other compatibility forms, and a whole number without its decimals (12.0 is 12), so that one patient stays one. The code is kept in that form.",
		Remedy: "Nothing to do; writing the code the same way everywhere avoids the note",
	},
	{
		ID: CodeLettered, Severity: casebook.Warning, Title: "Codes could hold initials or parts of names",
		Text: "The letters of the codes differ from case to case, or those of a few from all others. A running number behind the same letters says nothing of a person; " +
			"initials, parts of names and years of birth do, and nobody can tell them from other letters.",
		Remedy: "If they are initials or parts of names, take the file out again and ingest an anonymised copy, which \"shortfall pseudonymise\" makes",
	},
	{
		ID: PracticeOpen, Severity: casebook.Error, Title: "The practice of a case cannot be told",
		Text:   "Two practices may use the same pseudonyms. The file names several practices for this one, and the row names none, so that it could be about either patient.",
		Remedy: "Write the practice in a column \"practice\" on every row of that pseudonym",
	},
}
