package rules

import "shortfall/ingest/casebook"

// Rules about whole records and how they fit together.
const (
	CaseDuplicate       ID = "case-duplicate"
	CaseConflict        ID = "case-conflict"
	CaseTwice           ID = "case-twice"
	CaseUnlisted        ID = "case-unlisted"
	EndBeforeStart      ID = "end-before-start"
	EndMissing          ID = "end-missing"
	CourseDuplicate     ID = "course-duplicate"
	CourseGap           ID = "course-gap"
	CourseOrder         ID = "course-order"
	RefinementCount     ID = "refinement-count"
	MovementDuplicate   ID = "movement-duplicate"
	MovementUnplanned   ID = "movement-unplanned"
	StyleMissing        ID = "style-missing"
	FeatureMissing      ID = "feature-missing"
	LossWithoutFeature  ID = "loss-without-feature"
	RepeatDuplicate     ID = "repeat-duplicate"
	RepeatUnmatched     ID = "repeat-unmatched"
	RowVoid             ID = "row-void"
	MovementsRefused    ID = casebook.MovementsRefused
	RowUnused           ID = "row-unused"
	RowUnplanned        ID = "row-unplanned"
	WaiverUnmatched     ID = "waiver-unmatched"
	WaiverWithoutReason ID = "waiver-reason"
)

var recordRules = []Rule{
	{
		ID: CaseDuplicate, Severity: casebook.Error, Title: "A case is listed twice",
		Text:   "Two rows of the case log carry the same pseudonym. Where they say the same, the second is refused; where they differ, both are.",
		Remedy: "Keep one row, or correct the pseudonym",
	},
	{
		ID: CaseConflict, Severity: casebook.Error, Title: "Rows disagree about their case or course",
		Text:   "A flat sheet repeats the columns of the case in each row, and two rows of one case give different values.",
		Remedy: "Make the repeated columns agree",
	},
	{
		ID: CaseTwice, Severity: casebook.Warning, Title: "Two cases have the same movements",
		Text:   "Two pseudonyms carry the same movements with the same amounts; one case may have been entered twice.",
		Remedy: "Check the two cases; keep one, or give a waiver with the reason",
		check:  caseTwice,
	},
	{
		ID: CaseUnlisted, Severity: casebook.Warning, Title: "A case is missing from the case log",
		Text:   "Courses or movements name a case that the list of cases in this file lacks.",
		Remedy: "Add the case to the list of cases, or correct the pseudonym",
		check:  caseUnlisted,
	},
	{
		ID: EndBeforeStart, Severity: casebook.Error, Title: "The case ends before it starts",
		Text:   "The end month is earlier than the start month.",
		Remedy: "Correct one of the months",
	},
	{
		ID: EndMissing, Severity: casebook.Info, Title: "A completed case has no end month",
		Text:   "The status says that the case is completed, and the end month is blank.",
		Remedy: "Fill the end month if it is known",
		check:  endMissing,
	},
	{
		ID: CourseDuplicate, Severity: casebook.Error, Title: "A course is listed twice",
		Text:   "Two rows describe the same course of the same case. Where they say the same, the second is refused; where they differ, both are.",
		Remedy: "Keep one row, or correct the course number",
	},
	{
		ID: CourseGap, Severity: casebook.Warning, Title: "Course numbers have a gap",
		Text:   "A case has a later course and lacks an earlier one.",
		Remedy: "Add the missing course, or correct the numbers",
		check:  courseGap,
	},
	{
		ID: CourseOrder, Severity: casebook.Warning, Title: "A course starts before an earlier one",
		Text:   "A refinement starts before the initial course or before an earlier refinement.",
		Remedy: "Correct the course number or the start month",
		check:  courseOrder,
	},
	{
		ID: RefinementCount, Severity: casebook.Warning, Title: "Refinements stated and counted differ",
		Text:   "The number of refinements stated for the case is not the number of its later courses.",
		Remedy: "Correct the number, or add the missing courses",
		check:  refinementCount,
	},
	{
		ID: MovementDuplicate, Severity: casebook.Error, Title: "A movement is listed twice, or a tooth moves both ways along one axis in one course",
		Text:   "Two rows describe the same tooth, axis and course of one case. Where they say the same, the second is refused; where they differ, both are, unless somebody says which is right, or that an extrusion and an intrusion, say, are to be added up.",
		Remedy: "Keep one row, or correct the tooth, axis or course; where a tooth was moved both ways along an axis, answer the question about it with both",
	},
	{
		ID: MovementUnplanned, Severity: casebook.Info, Title: "Movement where none was planned",
		Text:   "The planned amount is 0 and the achieved amount is not. Such movements have a table of their own in the audit.",
		Remedy: "Nothing to do, if it is so",
		check:  movementUnplanned,
	},
	{
		ID: StyleMissing, Severity: casebook.Warning, Title: "A feature without a style",
		Text:   "The shape, size or orientation of a feature is given, and the style is blank.",
		Remedy: "Fill the style",
		check:  styleMissing,
	},
	{
		ID: FeatureMissing, Severity: casebook.Error, Title: "A feature described where there is none",
		Text:   "The style is \"none\", and the row gives the shape, size or orientation of a feature.",
		Remedy: "Correct the style, or clear the shape, size and orientation",
	},
	{
		ID: LossWithoutFeature, Severity: casebook.Error, Title: "A feature lost where there is none",
		Text:   "The style is \"none\", and the row says that the feature was lost.",
		Remedy: "Correct one of them",
	},
	{
		ID: RepeatDuplicate, Severity: casebook.Error, Title: "A repeat is listed twice",
		Text:   "Two rows repeat the measurement of the same movement. Where they say the same, the second is refused; where they differ, both are.",
		Remedy: "Keep one row for each movement",
	},
	{
		ID: RepeatUnmatched, Severity: casebook.Info, Title: "A repeat without its movement",
		Text:   "The repeated measurement belongs to no movement of this file. It still informs the method error.",
		Remedy: "Check the case, course, tooth and axis",
		check:  repeatUnmatched,
	},
	{
		ID: RowVoid, Severity: casebook.Error, Title: "A remark takes the row back",
		Text:   "A remark beside the row begins with void, cancelled or such a word. The row is kept with this reason and gives no record.",
		Remedy: "Delete the row, or the remark where it does not mean the row",
	},
	{
		ID: MovementsRefused, Severity: casebook.Info, Title: "Movements of rows that are kept were refused",
		Text:   "A row of several movements is kept without those of which an amount cannot be read or a plan is missing. Each has a warning at its cell; an audit says how many they are.",
		Remedy: "Correct their cells and read the file again",
	},
	{
		ID: RowUnused, Severity: casebook.Info, Title: "Rows that hold no record",
		Text:   "Totals, repeated headers and marked example rows are counted with the blank rows.",
		Remedy: "Nothing to do",
	},
	{
		ID: RowUnplanned, Severity: casebook.Info, Title: "Teeth without a planned movement",
		Text:   "A sheet with several movements a row lists teeth for which none was planned: every cell of a movement is blank. Such rows are counted with the blank rows.",
		Remedy: "Nothing to do",
	},
}

var waiverRules = []Rule{
	{
		ID: WaiverUnmatched, Severity: casebook.Warning, Title: "A waiver matches nothing",
		Text:   "A waiver of the mapping file accepts a finding that this file does not have.",
		Remedy: "Remove the waiver, or correct its rule or place",
	},
	{
		ID: WaiverWithoutReason, Severity: casebook.Error, Title: "A waiver has no reason",
		Text:   "Each waiver says why the finding is accepted.",
		Remedy: "Write the reason",
	},
}
