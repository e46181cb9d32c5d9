package columns

import "shortfall/ingest/casebook"

var caseColumns = []Def{
	{
		Field: Case, Type: Code, Header: "case", Required: true, Template: true,
		Synonyms: []string{"case id", "case no", "case number", "case code", "pseudonym", "patient code", "patient pseudonym", "study id", "subject"},
		About:    "Pseudonym of the case, the same on every sheet. Never a name, a record number or a date of birth.",
		Example:  ExampleID,
	},
	{
		Field: Practice, Type: Code, Header: "practice", Template: true,
		Synonyms: []string{"practice code", "clinic", "clinic code", "site", "office"},
		About:    "Code of the practice.", Example: "P1",
	},
	{
		Field: Clinician, Type: Code, Header: "clinician", Template: true,
		Synonyms: []string{"clinician code", "orthodontist", "operator", "provider", "treating clinician"},
		About:    "Code of the treating clinician.", Example: "C1",
	},
	{
		Field: AgeBand, Type: Word, Header: "age band", Template: true, Words: words(casebook.AgeBands()),
		Synonyms: []string{"age group", "age range", "age class", "teen/adult", "teen or adult", "adult/teen"},
		About:    "Age at the start, as a band.", Example: casebook.Age18To29.String(),
	},
	{
		Field: StartMonth, Type: Month, Header: "start month", Template: true,
		Synonyms: []string{"start", "start date", "started", "date started", "treatment start", "treatment start month", "case start month", "case start"},
		About:    "Month of the first aligner, as YYYY-MM.", Example: "2025-01",
	},
	{
		Field: EndMonth, Type: Month, Header: "end month", Template: true,
		Synonyms: []string{"end", "end date", "ended", "finish", "finished", "date finished", "completion month", "completed month", "case end month", "case end"},
		About:    "Month in which the case ended, as YYYY-MM; blank while under treatment.", Example: "2025-11",
	},
	{
		Field: Status, Type: Word, Header: "status", Required: true, Template: true, Words: words(casebook.Statuses()),
		Synonyms: []string{"case status", "outcome status", "treatment status", "case outcome"},
		About:    "How the case ended. Discontinued, switched and transferred cases belong in the list too.",
		Example:  casebook.Completed.String(),
	},
	{
		Field: PlannedAligners, Type: Count, Header: "planned aligners", Template: true,
		Synonyms: []string{"aligners planned in total", "total planned aligners", "number of aligners", "no of aligners", "aligners"},
		About:    "Aligners in the first plan.", Example: "24",
	},
	{
		Field: ChangeDays, Type: Count, Header: "change interval (days)", Unit: "days", Template: true,
		Synonyms: []string{"change interval", "days per aligner", "aligner change", "change every", "wear interval", "interval"},
		About:    "Days each aligner is worn.", Example: "10",
	},
	{
		Field: Wear, Type: Word, Header: "wear", Template: true, Words: words(casebook.Wears()),
		Synonyms: []string{"wear rating", "compliance", "cooperation", "adherence"},
		About:    "The clinician's rating of how well the aligners were worn.", Example: casebook.WearGood.String(),
	},
	{
		Field: WearRecorded, Type: Word, Header: "wear recorded", Template: true, Words: words(casebook.Timings()),
		Synonyms: []string{
			"wear rated", "wear noted", "wear recorded when", "wear rating recorded", "mitarbeit erfasst", "mitarbeit notiert", "coopération notée", "cooperación anotada",
			"collaborazione annotata", "colaboração registada", "medewerking genoteerd", "współpraca zapisana",
		},
		Meanings: []string{
			"at start, at the start, start, beforehand, before outcome, before the outcome, vorher, davor, zu Beginn, avant, au début, antes, al inicio, prima, all'inizio, no início, vooraf, bij start, przed, na początku",
			"at end, at the end, end, afterwards, after outcome, after the outcome, nachher, danach, am Ende, après, à la fin, después, al final, dopo, alla fine, depois, no fim, achteraf, aan het eind, po, na końcu",
		},
		Place:   func(record any) Worded { return &record.(*casebook.Case).WearRecorded },
		About:   "Whether the wear was rated before the outcome was known, or after. A rating made afterwards is shown and never adjusts for anything.",
		Example: casebook.BeforeOutcome.String(),
	},
	{
		Field: Refinements, Type: Count, Header: "refinements", Template: true,
		Synonyms: []string{"number of refinements", "no of refinements", "refinement count", "stated refinements", "refinements stated"},
		About:    "Refinements as the practice counted them; checked against the courses.", Example: "1",
	},
	{
		Field: Age, Type: Count, Header: "age (years)", Unit: "years",
		Synonyms: []string{"age", "age at start", "patient age"},
		About:    "Age in years; kept only as a band.",
	},
}

var courseColumns = []Def{
	caseKey,
	courseKey,
	{
		Field: CourseStart, Type: Month, Header: "start month", Template: true,
		Synonyms: []string{"course start month", "course start", "start", "start date", "started", "refinement start"},
		About:    "Month of the first aligner of this course, as YYYY-MM.", Example: "2025-01",
	},
	{
		Field: AlignersPlanned, Type: Count, Header: "aligners planned", Template: true,
		Synonyms: []string{"course aligners planned", "planned aligners", "aligners in plan", "aligners ordered"},
		About:    "Aligners in the plan of this course.", Example: "24",
	},
	{
		Field: AlignersUsed, Type: Count, Header: "aligners used", Template: true,
		Synonyms: []string{"course aligners used", "used aligners", "aligners worn"},
		About:    "Aligners worn before the next scan or the end.", Example: "24",
	},
	measuredBy,
	practiceKey,
}

var caseKey = Def{
	Field: Case, Type: Code, Header: "case", Required: true, Template: true,
	Synonyms: caseColumns[0].Synonyms,
	About:    "Pseudonym of the case, as on the sheet of cases.", Example: ExampleID,
}

// practiceKey tells cases of one pseudonym apart where a file holds several practices.
var practiceKey = Def{
	Field: Practice, Type: Code, Header: "practice", Synonyms: caseColumns[1].Synonyms,
	About: "Code of the practice, where two practices use the same pseudonyms.", Example: "P1",
}

var courseKey = Def{
	Field: Course, Type: CourseNo, Header: "course", Required: true, Template: true,
	Words:    []string{"initial", "refinement 1", "refinement 2", "refinement 3", "refinement 4"},
	Synonyms: []string{"course no", "course number", "treatment course", "phase", "series", "stage of treatment"},
	About:    "1 or \"initial\" for the first set of aligners, 2 or \"refinement 1\" for the first refinement, and so on.",
	Example:  "initial",
}
